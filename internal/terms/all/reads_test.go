package all

import (
	"go/ast"
	"go/build"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Values of the job are read through the functions of package terms, which note
// what a term read and what it lacked. A term that looks into a Given itself
// would take an absent value for zero, and no outcome would name it.
func TestJobValuesAreReadThroughTerms(t *testing.T) {
	cgo := build.Default.CgoEnabled
	build.Default.CgoEnabled = false // the type checker reads Go alone
	t.Cleanup(func() { build.Default.CgoEnabled = cgo })
	folders, err := os.ReadDir("..")
	if err != nil {
		t.Fatal(err)
	}
	fset := token.NewFileSet()
	from := importer.ForCompiler(fset, "source", nil)
	seen, names := 0, 0
	for _, folder := range folders {
		if !folder.IsDir() || folder.Name() == "termstest" || folder.Name() == "all" {
			continue
		}
		var files []*ast.File
		paths, err := filepath.Glob(filepath.Join("..", folder.Name(), "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(fset, path, nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, file)
		}
		info := &types.Info{Selections: map[*ast.SelectorExpr]*types.Selection{}}
		if _, err := (&types.Config{Importer: from}).Check("plumbrule/internal/terms/"+folder.Name(), fset, files, info); err != nil {
			t.Fatal(err)
		}
		seen++
		for at, selection := range info.Selections {
			switch at.Sel.Name {
			case "Value", "Known", "Default":
			default:
				continue
			}
			if !isGiven(selection.Recv()) {
				continue
			}
			// A name is always there: without it a job cannot be read at all.
			if of, ok := at.X.(*ast.SelectorExpr); ok && of.Sel.Name == "Name" {
				names++
				continue
			}
			t.Errorf("%s: .%s of a value of the job: read it through a terms.Call", fset.Position(at.Sel.Pos()), at.Sel.Name)
		}
	}
	if seen < 9 || names == 0 {
		t.Errorf("looked at %d packages and %d names: the test looks in the wrong place", seen, names)
	}
}

func isGiven(t types.Type) bool {
	if p, ok := t.(*types.Pointer); ok {
		t = p.Elem()
	}
	n, ok := types.Unalias(t).(*types.Named)
	return ok && n.Obj().Name() == "Given" && n.Obj().Pkg().Path() == "plumbrule/internal/job"
}
