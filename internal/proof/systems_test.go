package proof

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

const systems = "../../testdata/published/systems"

// leastFigures is how many figures of a document a system has to reproduce.
const leastFigures = 8

// system is a whole worked system of a published document: its job stands
// beside, and each figure of the document is compared with the job's.
type system struct {
	Title     string   `toml:"title"`
	Publisher string   `toml:"publisher"`
	Year      int      `toml:"year"` // 0: the document is not dated
	Section   string   `toml:"section"`
	Figures   []figure `toml:"figure"`
}

// figure is one number, word or outcome that the document prints: of a term of
// the job, or of a check.
type figure struct {
	What string `toml:"what"`
	Kind string `toml:"kind"` // of the subject of a term
	Name string `toml:"name"` // of the subject; "" for a thing there is one of
	Term string `toml:"term"`

	Check  string `toml:"check"`
	Amount string `toml:"amount"` // measure or limit of the check; "": its outcome

	// Set and Unset change the job for this figure, where the document goes
	// through several cases.
	Set   map[string]any `toml:"set"`
	Unset []string       `toml:"unset"`

	Printed any `toml:"printed"`
	// Ours is what we get where the document is of another edition or wrong,
	// and Because why.
	Ours    any    `toml:"ours"`
	Because string `toml:"because"`
}

// TestPublishedSystems holds whole worked systems of published documents
// against the review of their jobs, figure by figure, to the printed digits.
func TestPublishedSystems(t *testing.T) {
	book, tables := own(t)
	paths, err := filepath.Glob(filepath.Join(systems, "*", "expect.toml"))
	if err != nil {
		t.Fatal(err)
	}
	folders, err := os.ReadDir(systems)
	if err != nil {
		t.Fatal(err)
	}
	if len(folders) != len(paths) || len(paths) < 8 {
		t.Errorf("%d folders of systems with %d files of figures", len(folders), len(paths))
	}
	for _, path := range paths {
		folder := filepath.Dir(path)
		t.Run(filepath.Base(folder), func(t *testing.T) {
			t.Parallel()
			var s system
			md, err := toml.DecodeFile(path, &s)
			if err != nil {
				t.Fatal(err)
			}
			for _, k := range md.Undecoded() {
				t.Errorf("unknown key %q", k.String())
			}
			if s.Title == "" || s.Publisher == "" || s.Section == "" {
				t.Error("a system needs title, publisher and section of its document")
			}
			if len(s.Figures) < leastFigures {
				t.Errorf("%d figures, at least %d are wanted", len(s.Figures), leastFigures)
			}
			tree, err := job.LoadTree(filepath.Join(folder, "job.toml"))
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range s.Figures {
				if err := f.compare(tree, book, tables); err != nil {
					t.Errorf("%s: %v", f.What, err)
				}
			}
		})
	}
}

func (f figure) compare(tree *job.Tree, book *codebook.Codebook, tables *table.Set) error {
	if f.What == "" || f.Printed == nil || (f.Ours != nil) != (f.Because != "") || (f.Check == "") == (f.Term == "") {
		return fmt.Errorf("needs what, printed, and a term or a check; ours and because go together")
	}
	tree, err := tree.With(job.Edits{Set: f.Set, Unset: f.Unset})
	if err != nil {
		return err
	}
	j, err := tree.Job()
	if err != nil {
		return err
	}
	holds := f.termHolds
	if f.Check != "" {
		holds = f.checkHolds
	}
	want := f.Printed
	if f.Ours != nil {
		want = f.Ours
	}
	ok, got, err := holds(j, book, tables, want)
	if err != nil {
		return err
	}
	if !ok {
		return fmt.Errorf("%s, expected %v", got, want)
	}
	if f.Ours != nil {
		if same, _, err := holds(j, book, tables, f.Printed); err != nil || same {
			return fmt.Errorf("%s is what the document prints too (%v)", got, err)
		}
	}
	return nil
}

// termHolds says whether a term of the job agrees with a value.
func (f figure) termHolds(j *job.Job, _ *codebook.Codebook, tables *table.Set, want any) (bool, string, error) {
	kind := terms.KindByName(f.Kind)
	if kind == nil || kind.Term(f.Term) == nil {
		return false, "", fmt.Errorf("there is no term %s.%s", f.Kind, f.Term)
	}
	m := terms.New(j, tables)
	for _, s := range m.Subjects(f.Kind) {
		if s.Name != f.Name {
			continue
		}
		v := m.Term(s, f.Term)
		if len(v.Needs) > 0 {
			return false, "", fmt.Errorf("%s of %s is unknown: %v", f.Term, s.Label(), v.Needs)
		}
		return agrees(v.V, kind.Term(f.Term).Type, want)
	}
	return false, "", fmt.Errorf("the job has no %s %q", f.Kind, f.Name)
}

// checkHolds says whether a check of the job comes out as a value says.
func (f figure) checkHolds(j *job.Job, book *codebook.Codebook, tables *table.Set, want any) (bool, string, error) {
	r, err := review.Run(j, book, tables, review.Options{Only: []string{f.Check}})
	if err != nil {
		return false, "", err
	}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Subject.Name != f.Name {
			continue
		}
		if f.Amount == "" {
			return string(o.Result) == want, string(o.Result) + why(o), nil
		}
		a := o.Measure
		if f.Amount == "limit" {
			a = o.Limit
		}
		if a == nil || !a.IsNum {
			return false, "", fmt.Errorf("%s has no %s: %s%s", f.Check, f.Amount, o.Result, why(o))
		}
		ok, err := within(a.Value, want)
		return ok, a.Text, err
	}
	return false, "", fmt.Errorf("%s does not look at %q", f.Check, f.Name)
}

// agrees compares a term's value with a printed one.
func agrees(got any, of terms.Type, want any) (bool, string, error) {
	switch got := got.(type) {
	case float64:
		text := strconv.FormatFloat(got, 'g', 8, 64)
		if of.Kind == terms.Measured {
			text = quantity.Of(got, of.Dim).String()
		}
		ok, err := within(got, want)
		return ok, text, err
	case int:
		ok, err := within(float64(got), want)
		return ok, strconv.Itoa(got), err
	case quantity.Size:
		size, err := quantity.ParseSize(fmt.Sprint(want))
		return got == size, got.String(), err
	}
	return got == want, fmt.Sprint(got), nil
}

// within says whether a value in base units is a printed one, to the digits
// that are printed: half a unit of the last one either way.
func within(got float64, printed any) (bool, error) {
	text := fmt.Sprint(printed)
	number, unit, _ := strings.Cut(text, " ")
	n, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return false, err
	}
	decimals := 0
	if _, after, found := strings.Cut(number, "."); found {
		decimals = len(after)
	}
	half := math.Pow10(-decimals) / 2
	low, high := n-half, n+half
	if unit != "" {
		for _, x := range []*float64{&low, &high} {
			v, err := quantity.ParseAny(strconv.FormatFloat(*x, 'f', decimals+1, 64) + " " + unit)
			if err != nil {
				return false, err
			}
			*x = v.SI
		}
	}
	return quantity.AtLeast(got, low) && quantity.AtMost(got, high), nil
}

// TestWithin keeps the comparison strict: a figure is held to its last digit.
func TestWithin(t *testing.T) {
	for _, c := range []struct {
		got     float64
		printed string
		want    bool
	}{
		{54.177, "54.18 V", true}, {54.174, "54.18 V", false}, {595.97, "596 V", true}, {596.6, "596 V", false},
		{0.0068, "0.68 %", true}, {0.0069, "0.68 %", false}, {9030, "9.03 kW", true}, {9040, "9.03 kW", false}, {11, "11", true}, {12, "11", false},
	} {
		if got, err := within(c.got, c.printed); err != nil || got != c.want {
			t.Errorf("%v within %s: %v, %v", c.got, c.printed, got, err)
		}
	}
}
