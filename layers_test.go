package sinew_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// mayImport is policy: relax it only with a reason in the commit. A package
// that is not listed may not exist. Rooms stand in the order of the data flow.
const mayImport = `
unit                :
geom                :
internal/kernel     :
internal/work       :
sparse              : internal/kernel
cards               :
web                 :
card                : unit
solid               : geom
drawing             : unit geom solid
mesh                : geom
material            : unit card
printer             : unit card geom
part                : unit geom
hold                : geom sparse mesh part internal/work
stress              : geom mesh material part hold internal/work
plate               : geom sparse mesh material part hold stress internal/work
field               : geom sparse mesh material part stress internal/work
strand              : geom printer part field mesh internal/work
check               : geom material printer part stress strand internal/work
proof               : geom sparse mesh material part stress plate field strand internal/work
program             : unit geom material printer part strand
figure              : geom mesh part strand
coupon              : unit geom material printer part strand program
internal/atomicfile :
job                 : unit geom cards card solid drawing mesh material printer part stress plate field strand check proof program coupon internal/atomicfile
dossier             : unit geom mesh part strand job figure
study               : unit job figure internal/atomicfile
workbench           : unit web job figure dossier
cmd/sinew           : unit job dossier study workbench
internal/near       :
internal/golden     :
internal/orders     :
internal/shapes     : geom solid
internal/grids      : geom mesh part
internal/stock      : card cards
`

// onlyIn names, for a few imports, the rooms that may hold them.
var onlyIn = map[string]string{
	"net/http":  "study workbench cmd/sinew",
	"os":        "job study workbench cmd/sinew internal/atomicfile internal/golden",
	"time":      "job study workbench cmd/sinew",
	"math/rand": "",
	"log":       "cmd/sinew",
}

// apart lists folders that are modules of their own or hold no Go of ours.
var apart = []string{"testdata", "browsertest", "node_modules", ".git", "bench", "examples", "gen"}

func TestImportsFlowOneWay(t *testing.T) {
	allowed := map[string][]string{}
	for _, line := range strings.Split(strings.TrimSpace(mayImport), "\n") {
		room, list, _ := strings.Cut(line, ":")
		room = strings.TrimSpace(room)
		for _, dep := range strings.Fields(list) {
			if _, ok := allowed[dep]; !ok {
				t.Fatalf("%s lists %s, which stands below it or nowhere", room, dep)
			}
		}
		allowed[room] = strings.Fields(list)
	}
	seen := 0 // a check that matches nothing is no check
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if slices.Contains(apart, d.Name()) {
				return fs.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		room := filepath.ToSlash(filepath.Dir(path))
		if room == "." {
			return nil
		}
		seen++
		deps, listed := allowed[room]
		if !listed {
			t.Errorf("%s: package %s is not in the table", path, room)
			return nil
		}
		for _, imp := range importsOf(t, path) {
			if dep, own := strings.CutPrefix(imp, "sinew/"); own && !slices.Contains(deps, dep) {
				t.Errorf("%s: %s may not import %s", path, room, dep)
			}
			for ruled, rooms := range onlyIn {
				if (imp == ruled || strings.HasPrefix(imp, ruled+"/")) && !slices.Contains(strings.Fields(rooms), room) {
					t.Errorf("%s: %s may not import %q", path, room, imp)
				}
			}
		}
		return nil
	})
	if err != nil || seen == 0 {
		t.Fatalf("%d files checked: %v", seen, err)
	}
}

func importsOf(t *testing.T, path string) []string {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, spec := range f.Imports {
		imp, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, imp)
	}
	return list
}
