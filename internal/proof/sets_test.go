package proof

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
)

// own values are what a set leaves to the job, on labels.
var ownValues = []string{"voltage", "current"}

// setCase is a job that takes its labels or papers from sets alone.
type setCase struct {
	job     string
	list    string         // what the sets give: "label", "document"
	edition string         // of the NEC; "" leaves that of the job
	sets    []string       // "{edition}" stands for it
	set     map[string]any // besides
}

// nth is how many of its values are tried: those of an earlier edition, which the
// sets of the last give nearly all, in part.
func (c setCase) nth() int {
	if c.edition == "2017" || c.edition == "2020" {
		return 6
	}
	return 2
}

// setCases try every set; under -short, those of one edition.
func setCases() (all []setCase) {
	sets := func(names ...string) []string { return names }
	const labels = "labels NEC {edition} "
	for _, edition := range []string{"2017", "2020", "2023"} {
		if testing.Short() && edition != "2023" {
			continue
		}
		all = append(all,
			setCase{"barn", "label", edition, sets(labels+"strings", labels+"fault current"), nil},
			setCase{"barn", "label", edition, sets(labels+"converters", labels+"fault current"), withConverters},
			setCase{"house", "label", edition, sets(labels+"microinverters", labels+"load side", labels+"opposite end", labels+"breaker sum"), nil},
			setCase{"commercial", "label", edition, sets(labels+"strings", labels+"load side", labels+"breaker sum", labels+"combiners"), nil},
		)
		if edition != "2017" {
			all = append(all, setCase{"house", "label", edition, sets(labels+"microinverters", labels+"load side", labels+"opposite end", labels+"breaker sum", labels+"emergency disconnect"),
				map[string]any{"service.emergency_disconnect": true}})
		}
	}
	return append(all,
		setCase{"house", "document", "", sets("papers one-family dwelling", "papers of equipment", "papers structural letter", "papers existing service", "papers utility approval", "papers resubmittal"), nil},
		setCase{"commercial", "document", "", sets("papers commercial", "papers of equipment", "papers structural letter", "papers existing service", "papers utility approval"), map[string]any{"fastener_type.seam clamp.test_report": nil, "building.sprinkler_proof": nil}},
		setCase{"barn", "document", "", sets("papers commercial", "papers of equipment", "papers structural letter", "papers existing service", "papers utility approval", "papers resubmittal"), withConverters})
}

var withConverters = map[string]any{"converter_type": []any{map[string]any{"name": "C"}}, "string.S1.converter": "C", "string.S2.converter": "C", "string.S3.converter": "C"}

// Every label and paper that the checks ask of a job of a scheme and an edition
// is in its sets, and so is every value but the job's own. What a set gives is
// asked for: without it, or without one of its values, a check is no longer met.
func TestStandardSetsAgainstTheChecks(t *testing.T) {
	book, tables := own(t)
	checks := map[string][]string{}
	for _, c := range book.Checks {
		switch folder, _, _ := strings.Cut(c.ID, "/"); {
		case folder == "labels" && c.ID != "labels/label-sheet":
			checks["label"] = append(checks["label"], c.ID)
		case folder == "documents" && !strings.HasPrefix(c.ID, "documents/edition"), c.ID == "labels/label-sheet":
			checks["document"] = append(checks["document"], c.ID)
		}
	}
	used := map[string]bool{}
	for _, c := range setCases() {
		t.Run(fmt.Sprintf("%s %s %s", c.job, c.list, c.edition), func(t *testing.T) {
			tree := c.tree(t, used)
			whole, err := review.NewSession(tree, book, tables, review.Options{Only: checks[c.list]})
			if err != nil {
				t.Fatal(err)
			}
			before := resultsOf(whole.Review())
			for subject, o := range before {
				switch {
				case o.Result == review.NotMet:
					t.Errorf("%s is not met: %s", subject, o.Finding)
				case o.Result == review.Undetermined && !slices.ContainsFunc(o.Needs, isOwn):
					t.Errorf("%s is undetermined: %s", subject, o.Why())
				}
			}
			for _, key := range part(given(whole.Review().Job, c.list), c.nth()) {
				less, err := whole.With(job.Edits{Unset: []string{key}})
				if err != nil {
					t.Fatal(err)
				}
				if !notices(before, resultsOf(less.Review())) {
					t.Errorf("no check asks for %s", key)
				}
			}
		})
	}
	for _, s := range job.StandardSets() {
		if !used[s.Name] && !testing.Short() {
			t.Errorf("%q is not tried", s.Name)
		}
	}
}

// tree is the job with its labels or papers from the sets alone.
func (c setCase) tree(t *testing.T, used map[string]bool) *job.Tree {
	t.Helper()
	tree, err := job.LoadTree(jobs + "/" + c.job + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	edits := job.Edits{Set: map[string]any{}, Unset: slices.Compact([]string{"label", c.list})}
	for key, value := range c.set {
		edits.Set[key] = value
	}
	if c.edition != "" {
		edits.Set["adoption.nec"] = c.edition
	}
	if c.list == "document" { // a claim asks for its paper here; else other disciplines do
		if slices.Contains(c.sets, "papers existing service") {
			edits.Set["service.photo_of_label"], edits.Set["service.load_calculation"] = true, true
		}
		if slices.Contains(c.sets, "papers utility approval") {
			edits.Set["interconnection.utility_approval"] = true
		}
	}
	if tree, err = tree.With(edits); err != nil {
		t.Fatal(err)
	}
	var names []any
	for _, name := range c.sets {
		name = strings.ReplaceAll(name, "{edition}", c.edition)
		used[name] = true
		names = append(names, name)
	}
	if tree, err = tree.With(job.Edits{Set: map[string]any{"standard": names, "without": []any{}}}); err != nil {
		t.Fatal(err)
	}
	return tree
}

func isOwn(n review.Need) bool {
	return slices.ContainsFunc(ownValues, func(v string) bool { return strings.HasSuffix(n.String(), "."+v) })
}

// given lists the entries of a list and their values, but for where a label is
// fixed, which only people read.
func given(j *job.Job, list string) (keys []string) {
	add := func(key string, known bool) {
		if known && !strings.HasSuffix(key, ".place") {
			keys = append(keys, key)
		}
	}
	for _, l := range j.Labels {
		if list == "label" {
			add(job.Join(list, l.Name.Value), true)
			add(l.Kind.Key, l.Kind.Known)
			add(l.Interval.Key, l.Interval.Known)
			add(l.Letter.Key, l.Letter.Known)
			add(l.Durable.Key, l.Durable.Known)
			add(l.Reflective.Key, l.Reflective.Known)
		}
	}
	for _, d := range j.Documents {
		if list == "document" {
			add(job.Join(list, d.Name.Value), true)
			add(d.Kind.Key, d.Kind.Known)
			add(d.For.Key, d.For.Known && d.Kind.Value != "photos")
			add(d.Sealed.Key, d.Sealed.Known)
			add(d.ToScale.Key, d.ToScale.Known)
			add(d.SmallestText.Key, d.SmallestText.Known)
			add(d.Shows.Key, d.Shows.Known)
			for i, what := range d.Shows.Value {
				// The obstructions and ways that a roof lacks need not be shown there, nor an
				// entry in a roof plan of a job without them.
				add(job.Join(d.Shows.Key, fmt.Sprint(i+1)), what != "obstructions" && what != "pathways" && what != "ridge setback")
			}
		}
	}
	return keys
}

func resultsOf(r *review.Review) map[string]*review.Outcome {
	out := map[string]*review.Outcome{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		out[o.Check.ID+" of "+o.Subject.Name] = o
	}
	return out
}

// notices reports whether something that held, or waited for the job alone, no
// longer does.
func notices(before, after map[string]*review.Outcome) bool {
	for subject, o := range after {
		if o.Result != review.NotMet && o.Result != review.Undetermined {
			continue
		}
		if b := before[subject]; b == nil || b.Result != o.Result {
			return true
		}
	}
	return false
}
