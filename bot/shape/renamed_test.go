package shape

import (
	"fmt"
	"go/constant"
	"go/token"
	"go/types"
	"regexp"
	"strings"
)

// renamed maps names of the program that stand in an old version's files to
// what they are called now, where the meaning is the same: a type by its name,
// a field by its path, a name whose number is stored by itself.
var renamed = map[string]string{
	"Value": "Answer", "Stand": "Position", "Script": "CheckIn", "NoScript": "NoCheckIn", ".Talk.Script": ".Talk.CheckIn",
}

// Versions 1 and 2 wrote packages before their types, the length of a list by
// name, and a number as an expression and its place in a block.
var (
	packaged  = regexp.MustCompile(`^(field|type) [a-z/]+\.`)
	qualified = regexp.MustCompile(`\b[a-z]\w*\.`)
	placed    = regexp.MustCompile(`^number [a-z/]+ (\w*) \((.*)\) (\d+) (\w+)$`)
	word      = regexp.MustCompile(`\w+`)
)

// oldForm tells the lines of an old version's form as they would be told now.
func oldForm(lines []string) (out []string, err error) {
	lengths := map[string]string{} // of lists, by name
	for _, line := range lines {
		if m := placed.FindStringSubmatch(line); m != nil && countsNames.MatchString(m[4]) {
			lengths[m[4]] = m[3]
		}
	}
	for _, line := range lines {
		if m := placed.FindStringSubmatch(line); m != nil {
			if lengths[m[4]] != "" {
				continue
			}
			value, err := types.Eval(token.NewFileSet(), nil, token.NoPos, strings.ReplaceAll(m[2], "iota", m[3]))
			if err != nil || value.Value.Kind() != constant.Int {
				return nil, fmt.Errorf("%q: %v", line, err)
			}
			line = fmt.Sprintf("number %s %s %s", m[1], value.Value, m[4])
		}
		line = strings.ReplaceAll(qualified.ReplaceAllString(packaged.ReplaceAllString(line, "$1 "), ""), "*", "")
		words := strings.Split(line, " ")
		for i, w := range words {
			if words[0] == "field" && i == 3 {
				path := renamed["."+words[1]+"."+w]
				words[i] = w
				if path != "" {
					words[i] = path[strings.LastIndexByte(path, '.')+1:]
				}
				continue
			}
			words[i] = word.ReplaceAllStringFunc(w, func(name string) string {
				for _, now := range []map[string]string{lengths, renamed} {
					if now[name] != "" {
						return now[name]
					}
				}
				return name
			})
		}
		out = append(out, strings.Join(words, " "))
	}
	return out, nil
}

// oldPath tells a line of what an old version's files mean by the paths of now.
func oldPath(line string) string {
	path, value, told := strings.Cut(line, " = ")
	for old, now := range renamed {
		if strings.HasPrefix(old, ".") {
			path = regexp.MustCompile(regexp.QuoteMeta(old)+`\b`).ReplaceAllLiteralString(path, now)
		}
	}
	if !told {
		return path
	}
	return path + " = " + value
}
