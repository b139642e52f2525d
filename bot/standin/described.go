package standin

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

//go:embed botapi.txt
var apiText string

// described is the platform's own description of what may be sent to it: beside
// the table of what this bot has a use for, every request is held against it.
type described struct {
	version string
	methods map[string]shapeOf
	types   map[string]shapeOf
}

// shapeOf is the fields of a method or an object; where there are others an
// object is one of these.
type shapeOf struct {
	fields map[string]fieldOf
	others []string
}

// fieldOf is one field: the types it may have, and its length, or its bounds
// where it is a number.
type fieldOf struct {
	types       []string
	required    bool
	least, most int
	bounded     bool
	bytes       bool
}

var description = sync.OnceValue(func() described { return readDescription(apiText) })

// readDescription reads the table; a line that cannot be read is a fault of the build.
func readDescription(text string) described {
	d := described{methods: map[string]shapeOf{}, types: map[string]shapeOf{}}
	var in shapeOf
	for line := range strings.Lines(text) {
		words := strings.Fields(line)
		switch {
		case len(words) == 0 || words[0][0] == '#':
		case words[0] == "version":
			d.version = words[1]
		case words[0] == "method" || words[0] == "type":
			in = shapeOf{fields: map[string]fieldOf{}}
			if len(words) > 2 {
				in.others = strings.Split(words[2], "|")
			}
			if words[0] == "method" {
				d.methods[words[1]] = in
			} else {
				d.types[words[1]] = in
			}
		default:
			name, required := strings.CutSuffix(words[0], "!")
			f := fieldOf{types: strings.Split(words[1], "|"), required: required}
			if len(words) > 2 {
				if _, err := fmt.Sscanf(words[2], "%d-%d", &f.least, &f.most); err != nil {
					panic("the description: " + line)
				}
				f.bounded, f.bytes = true, len(words) > 3
			}
			in.fields[name] = f
		}
	}
	return d
}

// check holds a request's values against the description of its method. Values
// of a form are text, so a number, a truth or an object stands in them as JSON.
func (d described) check(method string, f *form) *refusal {
	shape := d.methods[method]
	for name, value := range f.values {
		field, ok := shape.fields[name]
		if !ok {
			return bad("the description has no " + name + " of " + method)
		}
		raw := json.RawMessage(value)
		if field.is("String") && !(field.is("Integer") && json.Valid(raw)) || field.is("InputFile") {
			raw, _ = json.Marshal(value)
		}
		if why := d.fits(field, raw); why != "" {
			return bad("against the description: " + method + "." + name + " " + why)
		}
	}
	for name, field := range shape.fields {
		_, file := f.files[name]
		if field.required && !f.has(name) && !file {
			return bad("against the description: " + method + " needs " + name)
		}
	}
	return nil
}

func (f fieldOf) is(kind string) bool {
	for _, t := range f.types {
		if t == kind {
			return true
		}
	}
	return false
}

// fits says what is wrong with a value; empty for nothing.
func (d described) fits(f fieldOf, raw json.RawMessage) string {
	var why []string
	for _, t := range f.types {
		one := d.fitsType(f, t, raw)
		if one == "" {
			return ""
		}
		why = append(why, one)
	}
	return strings.Join(why, ", and ")
}

func (d described) fitsType(f fieldOf, kind string, raw json.RawMessage) string {
	if of, ok := strings.CutPrefix(kind, "[]"); ok {
		var list []json.RawMessage
		if json.Unmarshal(raw, &list) != nil || list == nil {
			return "is no list"
		}
		for _, one := range list {
			if why := d.fitsType(f, of, one); why != "" {
				return why
			}
		}
		return ""
	}
	switch kind {
	case "Integer":
		n, err := strconv.ParseInt(string(raw), 10, 64)
		if err != nil {
			return "is no whole number"
		}
		if f.bounded && (n < int64(f.least) || n > int64(f.most)) {
			return fmt.Sprintf("is %d, not %d to %d", n, f.least, f.most)
		}
		return ""
	case "Boolean":
		if s := string(raw); s != "true" && s != "false" {
			return "is neither true nor false"
		}
		return ""
	case "String", "InputFile":
		var s string
		if json.Unmarshal(raw, &s) != nil {
			return "is no text"
		}
		n := units(s)
		if f.bytes {
			n = len(s)
		}
		if f.bounded && (n < f.least || n > f.most) {
			return fmt.Sprintf("has a length of %d, not %d to %d", n, f.least, f.most)
		}
		return ""
	}
	return d.fitsObject(kind, raw)
}

// fitsObject holds an object against its type, by every field that it has.
func (d described) fitsObject(kind string, raw json.RawMessage) string {
	shape, ok := d.types[kind]
	if !ok {
		return "is a " + kind + ", which this bot has no use for"
	}
	if len(shape.others) > 0 {
		return d.fits(fieldOf{types: shape.others}, raw)
	}
	var has map[string]json.RawMessage
	if json.Unmarshal(raw, &has) != nil || has == nil {
		return "is no object"
	}
	for name, value := range has {
		f, ok := shape.fields[name]
		if !ok {
			return kind + " has no " + name
		}
		if why := d.fits(f, value); why != "" {
			return kind + "." + name + " " + why
		}
	}
	for name, f := range shape.fields {
		if _, ok := has[name]; f.required && !ok {
			return kind + " needs " + name
		}
	}
	return ""
}
