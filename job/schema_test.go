package job

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/invopop/jsonschema"
	"github.com/pelletier/go-toml/v2"
	check "github.com/santhosh-tekuri/jsonschema/v6"
)

var updateDocs = flag.Bool("update", false, "rewrite docs/schema and docs/job-file.md")

// TestDocumentsOfTheJobFile holds the documents to the types.
func TestDocumentsOfTheJobFile(t *testing.T) {
	jobSchema, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	resultSchema, err := ResultSchema()
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []struct {
		name string
		got  []byte
	}{
		{"schema/job.schema.json", jobSchema},
		{"schema/result.schema.json", resultSchema},
		{"job-file.md", Reference()},
	} {
		path := filepath.Join("..", "docs", filepath.FromSlash(d.name))
		if *updateDocs {
			if err := os.WriteFile(path, d.got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(d.got, want) {
			t.Errorf("%s is not what the types say; run the test with -update and read the diff", path)
		}
	}
}

// TestKeysAreNamedOnce: a key has one name in TOML and in the schema, and a
// description.
func TestKeysAreNamedOnce(t *testing.T) {
	seen := 0
	var walk func(reflect.Type)
	walk = func(typ reflect.Type) {
		for i := range typ.NumField() {
			f := typ.Field(i)
			seen++
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if key := f.Tag.Get("toml"); key == "" || key != name {
				t.Errorf("%s.%s: toml %q, json %q", typ, f.Name, key, name)
			}
			if meaning(f) == "" {
				t.Errorf("%s.%s has no description", typ, f.Name)
			}
			if inner, _ := innerTable(f.Type); inner != nil {
				walk(inner)
			}
		}
	}
	walk(reflect.TypeFor[File]())
	if seen < 50 {
		t.Errorf("only %d keys seen", seen)
	}
}

func compileSchema(t *testing.T, data []byte, err error) *check.Schema {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := check.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := check.NewCompiler()
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// tree reads a job file as its schema sees it.
func tree(t *testing.T, text []byte) any {
	t.Helper()
	var m map[string]any
	if err := toml.Unmarshal(text, &m); err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	v, err := check.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestJobsFollowTheSchema(t *testing.T) {
	data, err := Schema()
	s := compileSchema(t, data, err)
	for _, name := range []string{"hanger", "open-hole"} {
		text, err := os.ReadFile(filepath.Join("..", "examples", name, FileName))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(tree(t, text)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	text, err := newJobFile("plate", sampleName, sampleDrawing)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(tree(t, text)); err != nil {
		t.Errorf("new job: %v", err)
	}
	for _, wrong := range []struct{ name, old, new string }{
		{"unknown key", "thickness =", "thicknes ="},
		{"number for a quantity", `thickness = "4 mm"`, "thickness = 4"},
		{"kind that is none", `kind = "steered"`, `kind = "woven"`},
		{"no printer", `printer = "twin-nozzle"`, ""},
	} {
		bad := strings.Replace(string(text), wrong.old, wrong.new, 1)
		if bad == string(text) {
			t.Fatalf("%s: nothing was changed", wrong.name)
		}
		if s.Validate(tree(t, []byte(bad))) == nil {
			t.Errorf("%s: the schema lets it pass", wrong.name)
		}
	}
}

func TestRecordFollowsItsSchema(t *testing.T) {
	data, err := ResultSchema()
	s := compileSchema(t, data, err)
	v, err := check.UnmarshalJSON(bytes.NewReader(results(t, keptJob(t))))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(v); err != nil {
		t.Error(err)
	}
	v.(map[string]any)["verdict"] = "good"
	if s.Validate(v) == nil {
		t.Error("the schema lets a verdict without reasons pass")
	}
}

// Every kind of quantity that the job file names can be read by that name.
func TestEveryKindOfQuantityIsRead(t *testing.T) {
	for _, q := range []interface{ JSONSchema() *jsonschema.Schema }{
		Length(0), Force(0), Stress(0), Angle(0), Temperature(0), TempDifference(0), Acceleration(0), Mass(0), Moment(0), Memory(0), Share(0),
	} {
		s := q.JSONSchema()
		if got, err := ReadQuantity(s.Title, s.Examples[0].(string)); err != nil || got.Value == 0 {
			t.Errorf("%s: %v, %v", s.Title, got, err)
		}
	}
	if _, err := ReadQuantity("colour", "4 mm"); err == nil {
		t.Error("a kind that is none is read")
	}
}
