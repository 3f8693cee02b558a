package review

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// knows lists, for each package, the packages of the project it may import.
// The arrows of the design point one way; a new one is a decision, made here.
var knows = map[string]string{
	"bound":            "",
	"quantity":         "",
	"source":           "bound",
	"parallel":         "",
	"packed":           "",
	"table":            "quantity packed",
	"electrical":       "quantity table",
	"structural":       "quantity table",
	"roofplan":         "quantity table",
	"layout":           "quantity table roofplan",
	"bonding":          "quantity table",
	"wiring":           "",
	"calculator":       "quantity table electrical structural",
	"schedule":         "source",
	"job":              "bound packed quantity source schedule schema rules",
	"guide":            "",
	"watch":            "",
	"draft":            "quantity source table job review",
	"ask":              "source draft wording",
	"draft/from":       "bound quantity source table schedule job draft",
	"equipment":        "quantity source table schedule job",
	"format":           "source",
	"editor":           "bound quantity source table job terms codebook review wording format",
	"terms":            "bound quantity source table job",
	"terms/arrays":     "quantity source table job terms layout structural",
	"terms/roofs":      "quantity source table job terms layout roofplan terms/arrays",
	"terms/bonds":      "quantity source table job terms bonding terms/arrays",
	"terms/survey":     "quantity source table job terms layout terms/arrays",
	"terms/circuits":   "quantity source table job terms electrical wiring terms/arrays",
	"terms/loads":      "quantity source table job terms layout roofplan structural terms/arrays terms/roofs",
	"terms/access":     "quantity source table job terms layout roofplan terms/arrays terms/roofs",
	"terms/papers":     "quantity source table job terms",
	"terms/plan":       "quantity source table job terms layout roofplan structural terms/arrays terms/roofs terms/bonds terms/loads",
	"terms/all":        "terms/arrays terms/roofs terms/bonds terms/survey terms/circuits terms/loads terms/access terms/papers",
	"terms/termstest":  "quantity source table job terms rules",
	"codebook":         "bound quantity source table job parallel packed terms terms/all schema",
	"adoption":         "quantity source job codebook", // which editions and checks are in force; no review
	"papertext":        "bound quantity",
	"review":           "bound quantity source table job parallel terms codebook papertext", // what the text of papers says is an outcome
	"remedy":           "bound quantity source job codebook review",
	"backcheck":        "bound source schedule codebook review",
	"standing":         "quantity source job review",
	"proof":            "source table job parallel codebook review",
	"mutation":         "quantity job",
	"wording":          "quantity source table job codebook review",
	"report":           "quantity source job codebook review remedy wording",
	"drawing":          "quantity job terms terms/plan terms/circuits wiring codebook review wording",
	"pdf":              "",
	"pdf/pdftest":      "",
	"paper":            "parallel quantity source table job electrical terms terms/arrays terms/circuits codebook review wording drawing pdf papertext",
	"reporttest":       "job table codebook review",
	"reporttest/depot": "job",
	"cli":              "bound quantity source table job parallel terms codebook adoption review proof wording report drawing paper calculator rules schema guide draft draft/from equipment format editor watch ask backcheck standing remedy",
}

func TestImportsFollowTheDesign(t *testing.T) {
	var folders []string
	for _, pattern := range []string{"../*/*.go", "../*/*/*.go"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			folders = append(folders, filepath.Dir(file))
		}
	}
	slices.Sort(folders)
	for _, folder := range slices.Compact(folders) {
		name := strings.TrimPrefix(filepath.ToSlash(folder), "../")
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
