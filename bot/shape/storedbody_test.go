package shape

import (
	"encoding/hex"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/desk"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/store"
)

// samples are the stored bodies, each to be filled to the last field.
func samples() map[string]any {
	out := map[string]any{
		"patient": new(flows.Patient), "practice": new(practice.Practice), "chat": new(desk.Chat),
		"message": new(message.Message), "entry": new(chart.Entry),
	}
	for _, b := range []flows.Body{
		&flows.Enrol{}, &flows.Join{}, &flows.Said{}, &flows.Tap{}, &flows.Other{}, &flows.Due{}, &flows.Order{},
		&flows.Bounce{}, &flows.Reached{}, &flows.Missed{}, &flows.Delivered{}, &flows.Gap{},
		&flows.Restored{}, &flows.Bound{}, &flows.NoSuchCode{}, &flows.LabelTaken{}, &flows.StaffJoin{}, &flows.StaffBound{},
		&flows.GroupMoved{}, &flows.Brief{}, &flows.Draft{},
		&flows.Settings{}, &flows.StaffChange{}, &flows.Manage{},
	} {
		out["event "+store.KindOf(valueOf(b))] = b
	}
	return out
}

// presentBodies are the bytes of every sample, and under each what they mean.
func presentBodies(t *testing.T) []byte {
	t.Helper()
	var b strings.Builder
	all := samples()
	for _, name := range sorted(all) {
		n := 0
		fill(all[name], &n)
		raw, err := encodeSample(name, all[name])
		if err != nil {
			t.Fatal(name, err)
		}
		fmt.Fprintf(&b, "%s: %s\n", name, hex.EncodeToString(raw))
		got, err := decodeSample(name, raw)
		if err != nil {
			t.Fatal(name, err)
		}
		for _, line := range printed("", got) {
			fmt.Fprintf(&b, "\t%s\n", line)
		}
	}
	return []byte(b.String())
}

// wantBodies reads the bytes of an old version and wants what they meant.
func wantBodies(t *testing.T, path string) {
	t.Helper()
	var name string
	var now []string
	bodies := 0
	for _, line := range readLines(t, path) {
		if want, ok := strings.CutPrefix(line, "\t"); ok {
			for _, line := range unmeant([]string{want}, now) {
				t.Errorf("%s meant, and means no more: %s", name, line)
			}
			continue
		}
		var text string
		name, text, _ = strings.Cut(line, ": ")
		raw, err := hex.DecodeString(text)
		if err != nil {
			t.Fatal(err)
		}
		v, err := decodeSample(name, raw)
		if err != nil {
			t.Errorf("%s is not read any more: %v", name, err)
		}
		now = printed("", v)
		bodies++
	}
	if bodies < 28 {
		t.Errorf("%d bodies are too few", bodies)
	}
}

func encodeSample(name string, v any) ([]byte, error) {
	switch v := v.(type) {
	case *flows.Patient:
		v.Course.N = 1
		return store.EncodePatient(v)
	case flows.Body:
		return store.EncodeBody(valueOf(v))
	}
	return store.Encode(v)
}

func decodeSample(name string, raw []byte) (any, error) {
	if name == "patient" {
		return store.DecodePatient(raw)
	}
	if strings.HasPrefix(name, "event ") {
		return store.DecodeBody(raw)
	}
	v, ok := samples()[name]
	if !ok {
		return nil, fmt.Errorf("no stored body is called %q", name)
	}
	return v, store.Decode(raw, v)
}

func sorted[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// valueOf gives the value of an event body behind a pointer.
func valueOf(b flows.Body) flows.Body {
	if v := reflect.ValueOf(b); v.Kind() == reflect.Pointer {
		return v.Elem().Interface().(flows.Body)
	}
	return b
}

// fill gives every field that v points to a value of its own.
func fill(v any, n *int) { fillValue(reflect.ValueOf(v).Elem(), n) }

func fillValue(v reflect.Value, n *int) {
	if v.Type() == reflect.TypeFor[time.Time]() {
		*n++
		v.Set(reflect.ValueOf(time.Unix(1_770_000_000+int64(*n), 0).UTC()))
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && v.Type().Field(i).Tag.Get("cbor") != "-" {
				fillValue(v.Field(i), n)
			}
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fillValue(v.Elem(), n)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fillValue(v.Index(0), n)
	case reflect.Array:
		for i := range v.Len() {
			fillValue(v.Index(i), n)
		}
	case reflect.Bool:
		v.SetBool(true)
	case reflect.String:
		*n++
		v.SetString(fmt.Sprint("s", *n))
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		*n++
		v.SetInt(int64(*n%100 + 1))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		*n++
		v.SetUint(uint64(*n%100 + 1))
	}
}
