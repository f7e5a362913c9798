package workbench

import (
	"bytes"
	"encoding/json"
	"net/http/httptest"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// described is the interface as it describes itself, ready to hold answers
// against.
type described struct {
	doc       map[string]any
	compiler  *jsonschema.Compiler
	mu        sync.Mutex
	templates []pathTemplate
}

type pathTemplate struct {
	text    string
	pattern *regexp.Regexp
}

const docURL = "http://sinew.invalid/openapi.json"

var describeOnce = sync.OnceValue(func() *described {
	dir, err := os.MkdirTemp("", "described")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	s, err := New(Options{Dir: dir})
	if err != nil {
		panic(err)
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, httptest.NewRequest("GET", "http://127.0.0.1/api/openapi.json", nil))
	d := &described{compiler: jsonschema.NewCompiler()}
	if err := json.Unmarshal(w.Body.Bytes(), &d.doc); err != nil {
		panic(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(w.Body.Bytes()))
	if err != nil {
		panic(err)
	}
	d.compiler.DefaultDraft(jsonschema.Draft2020)
	if err := d.compiler.AddResource(docURL, doc); err != nil {
		panic(err)
	}
	for path := range d.doc["paths"].(map[string]any) {
		pattern := regexp.MustCompile(`\\\{[a-z]+\\\}`).ReplaceAllString(regexp.QuoteMeta(path), `[^/]+`)
		d.templates = append(d.templates, pathTemplate{path, regexp.MustCompile("^" + pattern + "$")})
	}
	return d
})

// check holds an answer against what the interface says of itself.
func (d *described) check(t *testing.T, method, path string, status int, contentType string, body []byte) {
	t.Helper()
	i := slices.IndexFunc(d.templates, func(p pathTemplate) bool { return p.pattern.MatchString(path) })
	if i < 0 {
		return // no route: the tests that try these say so themselves
	}
	template := d.templates[i].text
	op, _ := d.doc["paths"].(map[string]any)[template].(map[string]any)[strings.ToLower(method)].(map[string]any)
	if op == nil {
		return
	}
	key := "default"
	if status < 300 {
		key = map[int]string{200: "200", 201: "201", 202: "202"}[status]
	}
	response, _ := op["responses"].(map[string]any)[key].(map[string]any)
	media, _, _ := strings.Cut(contentType, ";")
	content, _ := response["content"].(map[string]any)
	if _, ok := content[media]; !ok && content[contentType] == nil {
		t.Errorf("%s %s: status %d with %q is not described", method, template, status, contentType)
		return
	}
	if !strings.HasSuffix(media, "json") {
		return
	}
	pointer := strings.NewReplacer("~", "~0", "/", "~1").Replace
	d.mu.Lock()
	schema, err := d.compiler.Compile(docURL + "#/paths/" + pointer(template) + "/" + strings.ToLower(method) + "/responses/" + key + "/content/" + pointer(media) + "/schema")
	d.mu.Unlock()
	if err != nil {
		t.Errorf("%s %s: %v", method, template, err)
		return
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(body))
	if err == nil {
		err = schema.Validate(value)
	}
	if err != nil {
		t.Errorf("%s %s: the answer is not as described: %v", method, template, err)
	}
}

func TestDescriptionIsOpenAPI(t *testing.T) {
	c := jsonschema.NewCompiler()
	f, err := os.Open("testdata/openapi-3.1.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	text, err := jsonschema.UnmarshalJSON(f)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.AddResource("http://sinew.invalid/oas.json", text); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("http://sinew.invalid/oas.json")
	if err != nil {
		t.Fatal(err)
	}
	d := describeOnce()
	if err := schema.Validate(any(d.doc)); err != nil {
		t.Errorf("%v", err)
	}
	if d.doc["openapi"] != "3.1.0" {
		t.Errorf("version %v", d.doc["openapi"])
	}
	for name := range d.doc["components"].(map[string]any)["schemas"].(map[string]any) {
		if _, err := d.compiler.Compile(docURL + "#/components/schemas/" + name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestEveryOperationIsDescribed asks of each operation a name, a summary, what
// it answers and how it refuses, and a place in the document of the interface.
func TestEveryOperationIsDescribed(t *testing.T) {
	page, err := os.ReadFile("../docs/format/interface.md")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for path, item := range describeOnce().doc["paths"].(map[string]any) {
		for method, v := range item.(map[string]any) {
			op := v.(map[string]any)
			id, _ := op["operationId"].(string)
			if id == "" || seen[id] || op["summary"] == "" {
				t.Errorf("%s %s: name %q, summary %q", method, path, id, op["summary"])
			}
			seen[id] = true
			responses := op["responses"].(map[string]any)
			if len(responses) != 2 || responses["default"] == nil {
				t.Errorf("%s %s: responses %v", method, path, responses)
			}
			if line := strings.ToUpper(method) + " " + path; !bytes.Contains(page, []byte("`"+line+"`")) {
				t.Errorf("docs/format/interface.md does not tell of %s", line)
			}
		}
	}
	for _, m := range regexp.MustCompile("`(GET|PUT|POST|PATCH|DELETE) (/api[^`]*)`").FindAllSubmatch(page, -1) {
		item, _ := describeOnce().doc["paths"].(map[string]any)[string(m[2])].(map[string]any)
		if item[strings.ToLower(string(m[1]))] == nil && string(m[2]) != "/api/openapi.json" {
			t.Errorf("docs/format/interface.md tells of %s %s, which is not there", m[1], m[2])
		}
	}
	if len(seen) < 30 {
		t.Errorf("%d operations", len(seen))
	}
}
