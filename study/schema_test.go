package study

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

var updateDocs = flag.Bool("update", false, "rewrite the schemas of studies in docs/schema")

// TestSchemasAreWhatTheTypesSay.
func TestSchemasAreWhatTheTypesSay(t *testing.T) {
	for name, make := range map[string]func() ([]byte, error){"study.schema.json": Schema, "study-result.schema.json": ResultSchema} {
		got, err := make()
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join("..", "docs", "schema", name)
		if *updateDocs {
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if want, err := os.ReadFile(path); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what the types say (%v); run the test with -update and read the diff", path, err)
		}
	}
}

// TestEveryKeyIsDocumented: a key has one name in TOML and in the schema, a
// description, and a row in the page of the format; so has every figure.
func TestEveryKeyIsDocumented(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "docs", "format", "study.md"))
	if err != nil {
		t.Fatal(err)
	}
	documented := func(name string) {
		if !bytes.Contains(page, []byte("`"+name+"`")) {
			t.Errorf("docs/format/study.md does not tell of %s", name)
		}
	}
	seen := 0
	var walk func(reflect.Type)
	walk = func(typ reflect.Type) {
		for i := range typ.NumField() {
			f := typ.Field(i)
			if f.Anonymous {
				walk(f.Type)
				continue
			}
			seen++
			key := f.Tag.Get("toml")
			if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); key == "" || key != name || f.Tag.Get("jsonschema_description") == "" {
				t.Errorf("%s.%s: toml %q, json %q, or no description", typ, f.Name, key, name)
			}
			inner := f.Type
			if inner.Kind() == reflect.Slice {
				inner = inner.Elem()
			}
			if inner.Kind() == reflect.Struct {
				walk(inner)
				if f.Type.Kind() == reflect.Struct {
					key = "[" + key + "]"
				} else {
					continue // [[key]] stands in the text
				}
			}
			documented(key)
		}
	}
	walk(reflect.TypeFor[File]())
	if seen < 20 {
		t.Errorf("only %d keys seen", seen)
	}
	field, _ := reflect.TypeFor[Figure]().FieldByName("Figure")
	names := strings.Split(field.Tag.Get("jsonschema"), ",")
	for _, n := range names {
		name := strings.TrimPrefix(n, "enum=")
		documented(name)
		if _, ok := measureOf(name); !ok {
			t.Errorf("the schema lists the figure %s, which there is not", name)
		}
	}
}
