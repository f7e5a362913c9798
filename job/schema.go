package job

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"github.com/invopop/jsonschema"
)

// Schema returns the JSON Schema of a job file, read as a tree of tables, keys
// and values. It holds form alone: names, types, choices. What a quantity may
// measure and what refers to what is checked by Decode and Open.
func Schema() ([]byte, error) {
	return schemaOf(new(File), "Job file of sinew", "job.toml: a part, its loads, its materials and its lay-up.")
}

// ResultSchema returns the JSON Schema of out/result.json.
func ResultSchema() ([]byte, error) {
	return schemaOf(new(Record), "Result record of sinew", "out/result.json: what a run found. Reserve factors are load at failure over required load.")
}

func schemaOf(v any, title, text string) ([]byte, error) {
	r := jsonschema.Reflector{Anonymous: true, ExpandedStruct: true}
	s := r.Reflect(v)
	s.Title, s.Description = title, text
	data, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the schema of %s: %w", title, err)
	}
	return append(data, '\n'), nil
}

// referenceHead opens the job-file reference.
const referenceHead = `# The job file

` + "`job.toml`" + ` is TOML, one file per part, in a folder of its own beside its drawing.
Quantities are text with a unit; inside a kind any usual unit will do:
"2.4 kN", "4.8 mm", "40 °C". Angles run counter-clockwise from x. Unknown keys
are refused. "sinew new" writes a commented file to start from;
[schema/job.schema.json](schema/job.schema.json) says the same in JSON Schema.
This page is made from the program's types.
`

// Reference returns the job-file reference in Markdown: every table and key,
// made from the same types that read the file.
func Reference() []byte {
	var b strings.Builder
	b.WriteString(referenceHead)
	writeTable(&b, reflect.TypeFor[File](), "", "")
	return []byte(b.String())
}

// writeTable describes one table, then the tables within it.
func writeTable(b *strings.Builder, t reflect.Type, head, text string) {
	if head != "" {
		fmt.Fprintf(b, "\n## `%s`\n\n%s\n", head, text)
	} else {
		b.WriteString("\n## Top of the file\n")
	}
	b.WriteString("\n| key | value | needed | meaning |\n|---|---|---|---|\n")
	for i := range t.NumField() {
		f := t.Field(i)
		needed := "yes"
		if strings.Contains(f.Tag.Get("json"), "omitempty") {
			needed = ""
		}
		fmt.Fprintf(b, "| `%s` | %s | %s | %s |\n", f.Tag.Get("toml"), valueText(f), needed, strings.ReplaceAll(meaning(f), "|", "\\|"))
	}
	path := strings.Trim(head, "[]")
	for i := range t.NumField() {
		f := t.Field(i)
		if inner, brackets := innerTable(f.Type); inner != nil {
			name := strings.TrimPrefix(path+"."+f.Tag.Get("toml"), ".")
			writeTable(b, inner, fmt.Sprintf(brackets, name), meaning(f))
		}
	}
}

func meaning(f reflect.StructField) string { return f.Tag.Get("jsonschema_description") }

// innerTable returns the type of the table that a field holds, nil where it
// holds a value, and how its header is written.
func innerTable(t reflect.Type) (reflect.Type, string) {
	brackets := "[%s]"
	if t.Kind() == reflect.Slice {
		t, brackets = t.Elem(), "[[%s]]"
	}
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return nil, ""
	}
	return t, brackets
}

// valueText says in words what stands behind a key.
func valueText(f reflect.StructField) string {
	if inner, brackets := innerTable(f.Type); inner != nil {
		if brackets == "[[%s]]" {
			return "tables"
		}
		return "table"
	}
	var choices []string
	for _, part := range strings.Split(f.Tag.Get("jsonschema"), ",") {
		if c, ok := strings.CutPrefix(part, "enum="); ok {
			choices = append(choices, "`\""+c+"\"`")
		}
	}
	if choices != nil {
		return strings.Join(choices, ", ")
	}
	return typeText(f.Type)
}

func typeText(t reflect.Type) string {
	if q, ok := reflect.Zero(t).Interface().(interface{ JSONSchema() *jsonschema.Schema }); ok && t.Kind() == reflect.Float64 {
		s := q.JSONSchema()
		return fmt.Sprintf("%s, such as `\"%v\"`", s.Title, s.Examples[0])
	}
	switch t.Kind() {
	case reflect.Pointer:
		return typeText(t.Elem())
	case reflect.Slice:
		return "list of " + typeText(t.Elem())
	case reflect.Array:
		return fmt.Sprintf("%d × %s", t.Len(), typeText(t.Elem()))
	case reflect.String:
		return "text"
	case reflect.Int:
		return "whole number"
	case reflect.Float64:
		return "number"
	case reflect.Bool:
		return "`true` or `false`"
	}
	panic("job: no word for a key of type " + t.String())
}
