package sinew_test

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Limits of the house style. Generated files are exempt.
const (
	maxFileLines     = 900
	maxFunctionLines = 60 // past it a function says "algorithm:" and its source in its doc
)

// TestHouseStyle holds what a machine can hold of CONTRIBUTING.md: documented
// exports, a doc for each package, no mutable package variables, no endless
// files or functions.
func TestHouseStyle(t *testing.T) {
	fset := token.NewFileSet()
	documented := map[string]bool{} // folder: has a package doc
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
		f, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		dir := filepath.Dir(path)
		documented[dir] = documented[dir] || f.Doc != nil
		if !ast.IsGenerated(f) {
			holdFile(t, fset, path, f)
		}
		return nil
	})
	if err != nil || len(documented) == 0 {
		t.Fatalf("%d folders read: %v", len(documented), err)
	}
	for dir, has := range documented {
		if !has {
			t.Errorf("%s: the package has no doc", dir)
		}
	}
}

// TestHouseStyleNamesNoMachine: what is kept here is true on any machine. No file
// names a folder of the one it was written on, nor a host that packages come from.
func TestHouseStyleNamesNoMachine(t *testing.T) {
	const begin = `(^|[\s"'` + "`" + `(=:])` // a path, not the end of one
	foreign := regexp.MustCompile(`(?m)` + begin + `/(work|tmp|root|home|Users)/\w|\b(registry|proxy|pypi|deb)\.[a-z]+\.(org|com|net)\b`)
	read := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if slices.Contains([]string{".git", "node_modules", "bin", "out"}, d.Name()) {
				return fs.SkipDir
			}
			return nil
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		read++
		for _, at := range foreign.FindAllIndex(data, 3) {
			t.Errorf("%s:%d: %q speaks of one machine or of where packages are fetched", path, 1+bytes.Count(data[:at[0]], []byte("\n")), data[at[0]:at[1]])
		}
		return nil
	})
	if err != nil || read == 0 {
		t.Fatalf("%d files read: %v", read, err)
	}
}

func holdFile(t *testing.T, fset *token.FileSet, path string, f *ast.File) {
	if n := fset.File(f.Pos()).LineCount(); n > maxFileLines {
		t.Errorf("%s: %d lines, more than %d", path, n, maxFileLines)
	}
	for _, decl := range f.Decls {
		switch d := decl.(type) {
		case *ast.FuncDecl:
			holdFunction(t, fset, d)
		case *ast.GenDecl:
			holdDeclaration(t, fset, d)
		}
	}
}

func holdFunction(t *testing.T, fset *token.FileSet, d *ast.FuncDecl) {
	at := fset.Position(d.Pos())
	lines := fset.Position(d.End()).Line - at.Line + 1
	if lines > maxFunctionLines && !strings.Contains(d.Doc.Text(), "algorithm:") {
		t.Errorf("%s: %s has %d lines, more than %d", at, d.Name.Name, lines, maxFunctionLines)
	}
	if d.Name.IsExported() && d.Doc == nil && exportedReceiver(d) {
		t.Errorf("%s: %s is exported and has no doc", at, d.Name.Name)
	}
	if d.Name.Name == "init" && d.Recv == nil {
		t.Errorf("%s: init functions hide what a package does", at)
	}
}

func exportedReceiver(d *ast.FuncDecl) bool {
	if d.Recv == nil {
		return true
	}
	typ := d.Recv.List[0].Type
	if star, ok := typ.(*ast.StarExpr); ok {
		typ = star.X
	}
	if ix, ok := typ.(*ast.IndexExpr); ok {
		typ = ix.X
	}
	id, ok := typ.(*ast.Ident)
	return ok && id.IsExported()
}

func holdDeclaration(t *testing.T, fset *token.FileSet, d *ast.GenDecl) {
	for _, spec := range d.Specs {
		switch s := spec.(type) {
		case *ast.TypeSpec:
			if s.Name.IsExported() && d.Doc == nil && s.Doc == nil {
				t.Errorf("%s: %s is exported and has no doc", fset.Position(s.Pos()), s.Name.Name)
			}
		case *ast.ValueSpec:
			for _, n := range s.Names {
				if n.IsExported() && d.Doc == nil && s.Doc == nil && s.Comment == nil {
					t.Errorf("%s: %s is exported and has no doc", fset.Position(n.Pos()), n.Name)
				}
				if d.Tok == token.VAR && n.IsExported() && !strings.HasPrefix(n.Name, "Err") && n.Name != "Files" {
					t.Errorf("%s: %s is an exported package variable", fset.Position(n.Pos()), n.Name)
				}
			}
		}
	}
}
