package review

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// knows lists, for each package, the packages of the project it may import.
// The arrows of the design point one way; a new one is a decision, made here.
var knows = map[string]string{
	"quantity":   "",
	"parallel":   "",
	"source":     "",
	"table":      "",
	"electrical": "quantity table",
	"structural": "quantity table",
	"roofplan":   "quantity table",
	"layout":     "quantity table roofplan",
	"bonding":    "quantity table",
	"calculator": "quantity table electrical structural",
	"job":        "quantity source schema",
	"terms":      "quantity source table job electrical structural roofplan layout bonding",
	"codebook":   "parallel quantity source table terms schema",
	"review":     "parallel quantity source table job terms codebook",
	"proof":      "parallel table job codebook review",
	"report":     "quantity source table job terms codebook review",
	"cli":        "parallel quantity source table job terms codebook review proof report calculator rules schema",
}

func TestImportsFollowTheDesign(t *testing.T) {
	folders, err := filepath.Glob("../*")
	if err != nil {
		t.Fatal(err)
	}
	for _, folder := range folders {
		name := filepath.Base(folder)
		allowed, ok := knows[name]
		if !ok {
			t.Errorf("package internal/%s is not in the list of arrows", name)
			continue
		}
		files, err := filepath.Glob(filepath.Join(folder, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
			if err != nil {
				t.Fatal(err)
			}
			for _, spec := range f.Imports {
				path, err := strconv.Unquote(spec.Path.Value)
				if err != nil {
					t.Fatal(err)
				}
				rest, ours := strings.CutPrefix(path, "plumbrule/")
				if !ours {
					continue
				}
				target := strings.TrimPrefix(rest, "internal/")
				if !strings.Contains(" "+allowed+" ", " "+target+" ") {
					t.Errorf("%s imports %s: internal/%s may know only: %s", file, path, name, allowed)
				}
			}
		}
	}
}
