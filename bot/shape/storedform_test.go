package shape

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/setup"
	"duskdawn/flows"

	"github.com/redis/go-redis/v9"
)

// qualifier is the package in front of a name.
var qualifier = regexp.MustCompile(`\b[a-z]\w*\.`)

// keyed finds the key of a stored field.
var keyed = regexp.MustCompile(`cbor:"(-|\d+,keyasint[^"]*)"`)

// presentForm reads the stored form off the source: each stored field with its
// key and type, each name whose number may be stored, each step of the schema.
// It names no package, so that a type may move from one room to another.
func presentForm(t *testing.T) (out []string) {
	t.Helper()
	for _, dir := range []string{"../../flows", "../../flows/*", "../../store", "../../store/redis", "../../scheduler"} {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		fset := token.NewFileSet()
		for _, path := range files {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(fset, path, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			text := func(n ast.Node) string {
				var b bytes.Buffer
				if err := printer.Fprint(&b, fset, n); err != nil {
					t.Fatal(err)
				}
				return b.String()
			}
			for _, d := range f.Decls {
				g, ok := d.(*ast.GenDecl)
				if !ok {
					continue
				}
				out = append(out, constants(g, text)...)
				for _, s := range g.Specs {
					if ts, ok := s.(*ast.TypeSpec); ok {
						out = append(out, storedType(ts, text)...)
					}
				}
			}
		}
	}
	steps, err := filepath.Glob("../../store/sqlite/schema/*.sql")
	if err != nil || len(steps) == 0 {
		t.Fatal("no schema", err)
	}
	for _, path := range steps {
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, fmt.Sprintf("schema %s %x", filepath.Base(path), sha256.Sum256(raw)))
	}
	slices.Sort(out)
	for i, line := range out[1:] {
		if line == out[i] {
			t.Fatalf("two stored types have one name: %s", line)
		}
	}
	return out
}

// storedType lists the stored fields of a struct, and what a named number is.
func storedType(ts *ast.TypeSpec, text func(ast.Node) string) (out []string) {
	s, ok := ts.Type.(*ast.StructType)
	if !ok {
		if id, ok := ts.Type.(*ast.Ident); ok && ts.Name.IsExported() {
			out = append(out, fmt.Sprintf("type %s %s", ts.Name.Name, id.Name))
		}
		return out
	}
	for _, f := range s.Fields.List {
		if f.Tag == nil {
			continue
		}
		if m := keyed.FindStringSubmatch(f.Tag.Value); m != nil {
			for _, name := range f.Names {
				key, _, _ := strings.Cut(m[1], ",")
				out = append(out, fmt.Sprintf("field %s %s %s %s", ts.Name.Name, key, name.Name, qualifier.ReplaceAllString(text(f.Type), "")))
			}
		}
	}
	return out
}

// constants lists the exported names of a block that counts, each with its place.
func constants(g *ast.GenDecl, text func(ast.Node) string) (out []string) {
	if g.Tok != token.CONST {
		return nil
	}
	of, expr := "", ""
	for i, s := range g.Specs {
		vs := s.(*ast.ValueSpec)
		if len(vs.Values) > 0 {
			if of, expr = "", text(vs.Values[0]); vs.Type != nil {
				of = text(vs.Type)
			}
		}
		for _, name := range vs.Names {
			if name.IsExported() && strings.Contains(expr, "iota") {
				out = append(out, strings.Join([]string{"number", of, "(" + expr + ")", strconv.Itoa(i), name.Name}, " "))
			}
		}
	}
	return out
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

// printed tells every field that is set, by its path, a line each.
func printed(path string, v any) (out []string) {
	walk(path, reflect.ValueOf(v), &out)
	return out
}

func walk(path string, v reflect.Value, out *[]string) {
	if !v.IsValid() || v.IsZero() {
		return
	}
	if at, ok := v.Interface().(time.Time); ok {
		*out = append(*out, fmt.Sprintf("%s = %s", path, at.UTC().Format(time.RFC3339Nano)))
		return
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		walk(path, v.Elem(), out)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				walk(path+"."+v.Type().Field(i).Name, v.Field(i), out)
			}
		}
	case reflect.Slice, reflect.Array:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			*out = append(*out, fmt.Sprintf("%s = %x", path, v.Interface()))
			return
		}
		for i := range v.Len() {
			walk(fmt.Sprintf("%s[%d]", path, i), v.Index(i), out)
		}
	case reflect.String:
		*out = append(*out, fmt.Sprintf("%s = %q", path, v.String()))
	default:
		*out = append(*out, fmt.Sprintf("%s = %d", path, v.Interface()))
	}
}

// dumpRedis writes every key out as the commands that make it, quoted, a line each.
func dumpRedis(t *testing.T, address string) []byte {
	t.Helper()
	c := redisClient(t, address)
	defer c.Close()
	keys, err := c.Keys(t.Context(), "*").Result()
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(keys)
	var b strings.Builder
	line := func(words ...string) {
		for i, w := range words {
			words[i] = strconv.QuoteToASCII(w)
		}
		b.WriteString(strings.Join(words, " ") + "\n")
	}
	for _, key := range keys {
		kind, err := c.Type(t.Context(), key).Result()
		if err != nil {
			t.Fatal(err)
		}
		switch kind {
		case "hash":
			all, err := c.HGetAll(t.Context(), key).Result()
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range sorted(all) {
				line("HSET", key, f, all[f])
			}
		case "list":
			all, err := c.LRange(t.Context(), key, 0, -1).Result()
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range all {
				line("RPUSH", key, v)
			}
		case "set":
			all, err := c.SMembers(t.Context(), key).Result()
			if err != nil {
				t.Fatal(err)
			}
			slices.Sort(all)
			for _, v := range all {
				line("SADD", key, v)
			}
		case "zset":
			all, err := c.ZRangeWithScores(t.Context(), key, 0, -1).Result()
			if err != nil {
				t.Fatal(err)
			}
			for _, z := range all {
				line("ZADD", key, strconv.FormatFloat(z.Score, 'f', -1, 64), z.Member.(string))
			}
		case "string":
			if strings.Contains(key, ":receipt:") { // kept a minute, for who lost an answer
				continue
			}
			v, err := c.Get(t.Context(), key).Result()
			if err != nil {
				t.Fatal(err)
			}
			line("SET", key, v)
		}
	}
	return []byte(b.String())
}

// loadRedis runs what dumpRedis wrote.
func loadRedis(t *testing.T, address string, dump []byte) {
	t.Helper()
	c := redisClient(t, address)
	defer c.Close()
	if err := c.FlushAll(t.Context()).Err(); err != nil { // the form's mark, written when it was opened first
		t.Fatal(err)
	}
	pipe := c.Pipeline()
	for _, line := range strings.Split(strings.TrimSpace(string(dump)), "\n") {
		var args []any
		for rest := line; rest != ""; rest = strings.TrimPrefix(rest, " ") {
			word, err := strconv.QuotedPrefix(rest)
			if err != nil {
				t.Fatal(err)
			}
			rest = rest[len(word):]
			if word, err = strconv.Unquote(word); err != nil {
				t.Fatal(err)
			}
			args = append(args, word)
		}
		pipe.Do(t.Context(), args...)
	}
	if _, err := pipe.Exec(t.Context()); err != nil {
		t.Fatal(err)
	}
}

func redisClient(t *testing.T, address string) *redis.Client {
	t.Helper()
	o, err := redis.ParseURL(setup.Secret(address).Reveal())
	if err != nil {
		t.Fatal(err)
	}
	return redis.NewClient(o)
}
