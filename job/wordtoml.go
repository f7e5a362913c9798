package job

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// wordValue writes a value, as JSON knows it, as TOML: on one line but for lists
// of paths. The type says in which order the keys of a table stand.
func wordValue(v any, t reflect.Type) (string, error) {
	switch v := v.(type) {
	case string:
		return wordText(v)
	case bool:
		return strconv.FormatBool(v), nil
	case json.Number:
		return v.String(), nil
	case int:
		return strconv.Itoa(v), nil
	case int64:
		return strconv.FormatInt(v, 10), nil
	case float64:
		return wordNumber(v)
	case []any:
		items := make([]string, len(v))
		for i := range v {
			var err error
			if items[i], err = wordValue(v[i], elemOf(t)); err != nil {
				return "", err
			}
		}
		if listDepth(v) > pointDepth {
			return "[\n  " + strings.Join(items, ",\n  ") + ",\n]", nil // one path a line
		}
		return "[" + strings.Join(items, ", ") + "]", nil
	case map[string]any:
		return wordInline(v, t)
	}
	return "", fmt.Errorf("a value of kind %T has no place in a job file; give text, a number, true or false, a list or a table", v)
}

// pointDepth is the depth of a list of points: a list of pairs.
const pointDepth = 2

// listDepth counts how deep lists stand in lists.
func listDepth(v any) int {
	list, ok := v.([]any)
	if !ok {
		return 0
	}
	deepest := 0
	for _, e := range list {
		deepest = max(deepest, listDepth(e))
	}
	return 1 + deepest
}

func wordInline(v map[string]any, t reflect.Type) (string, error) {
	if len(v) == 0 {
		return "{}", nil
	}
	items := make([]string, 0, len(v))
	for _, k := range orderedKeys(v, t) {
		if !isBareKey(k) {
			return "", fmt.Errorf("%q is no key; keys hold letters, figures, - and _", k)
		}
		text, err := wordValue(v[k], fieldOf(t, k))
		if err != nil {
			return "", err
		}
		items = append(items, k+" = "+text)
	}
	return "{ " + strings.Join(items, ", ") + " }", nil
}

// wholeLimit is the size up to which every whole number is a float64.
const wholeLimit = 1 << 53

func wordNumber(v float64) (string, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "", fmt.Errorf("%g is no number to work with", v)
	}
	if v == math.Trunc(v) && math.Abs(v) < wholeLimit {
		return strconv.FormatInt(int64(v), 10), nil
	}
	s := strconv.FormatFloat(v, 'g', -1, 64)
	if !strings.ContainsAny(s, ".e") {
		s += ".0"
	}
	return s, nil
}

// wordText writes a basic string.
func wordText(s string) (string, error) {
	if !utf8.ValidString(s) {
		return "", fmt.Errorf("%q is no UTF-8 text", s)
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String(), nil
}

func isBareKey(k string) bool {
	return k != "" && strings.Trim(k, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") == ""
}

// orderedKeys lists a table's keys in the order of the type's fields, others
// after them by name.
func orderedKeys(v map[string]any, t reflect.Type) []string {
	place := func(k string) int {
		if t != nil && t.Kind() == reflect.Struct {
			for i := range t.NumField() {
				if t.Field(i).Tag.Get("toml") == k {
					return i
				}
			}
		}
		return math.MaxInt
	}
	return slices.SortedFunc(maps.Keys(v), func(a, b string) int {
		if pa, pb := place(a), place(b); pa != pb {
			return pa - pb
		}
		return strings.Compare(a, b)
	})
}

// plainType follows pointers.
func plainType(t reflect.Type) reflect.Type {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t
}

// elemOf is the type of a list's elements; nil where unknown.
func elemOf(t reflect.Type) reflect.Type {
	if t = plainType(t); t != nil && (t.Kind() == reflect.Slice || t.Kind() == reflect.Array) {
		return plainType(t.Elem())
	}
	return nil
}

// fieldOf is the type that a key of a table is read into; nil where unknown.
func fieldOf(t reflect.Type, key string) reflect.Type {
	if t = plainType(t); t == nil || t.Kind() != reflect.Struct {
		return nil
	}
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("toml") == key {
			return plainType(t.Field(i).Type)
		}
	}
	return nil
}

// typeAt is the type that stands at a key path of the job file.
func typeAt(key string) reflect.Type {
	t := reflect.TypeFor[File]()
	for _, step := range splitKey(key) {
		if t = fieldOf(t, step.name); t != nil && step.index >= 0 {
			t = elemOf(t)
		}
	}
	return t
}

// keyStep is one part of a key path: "load[1]" has index 1, "name" index -1.
type keyStep struct {
	name  string
	index int
}

// splitKey cuts a key path such as "case[0].load[1].force"; nil when it is
// none.
func splitKey(key string) []keyStep {
	var out []keyStep
	for part := range strings.SplitSeq(key, ".") {
		s := keyStep{part, -1}
		if name, rest, ok := strings.Cut(part, "["); ok {
			n, err := strconv.Atoi(strings.TrimSuffix(rest, "]"))
			if err != nil || n < 0 || !strings.HasSuffix(rest, "]") {
				return nil
			}
			s = keyStep{name, n}
		}
		if !isBareKey(s.name) {
			return nil
		}
		out = append(out, s)
	}
	return out
}
