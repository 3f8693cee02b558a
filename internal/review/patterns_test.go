package review

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
)

// A finding on a value that came by like stands where its giver states it, and
// names the entry that took it as a further place.
func TestLikeIsAFurtherPlace(t *testing.T) {
	j := edited(t, "house", job.Edits{Set: map[string]any{"array.north.like": "south"}, Unset: []string{"array.north.gap_x"}})
	b, tables := book(t)
	r, err := Run(j, b, tables, Options{})
	if err != nil {
		t.Fatal(err)
	}
	south, north := j.Arrays[0].GapX.At, j.Likes.At("array.north.gap_x")
	if !north.Known() || north == south || j.Likes.At("array.north.gap_y").Known() {
		t.Fatalf("gap_x was taken at %v, gap_y at %v", north, j.Likes.At("array.north.gap_y"))
	}
	found := 0
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		places := append(o.Also(), o.At)
		if o.Subject.Key == "array.north" && slices.Contains(places, south) {
			found++
			if !slices.Contains(places, north) {
				t.Errorf("%s does not name the heir", o.Check.ID)
			}
		}
	}
	if found == 0 {
		t.Error("no outcome rests on the gap")
	}
}

// houseByPatterns makes the demo house one that says the same by patterns.
var houseByPatterns = job.Edits{
	Set: map[string]any{
		"array.south.across": "from_left", "array.south.setback_left": "56 in", "array.south.above_eave": "12 in",
		"array.south.attachments.every": 3, "array.south.attachments.on": "members",
		"array.north.like": "south",
		"plane.north.like": "south",
	},
	Unset: []string{
		"array.south.origin", "array.south.attachments.spacing", "array.south.attachments.first_offset",
		"array.north.module", "array.north.attachments.fastener", "array.north.attachments.spacing", "array.north.attachments.first_offset",
		"plane.north.slope", "plane.north.framing", "plane.north.covering",
	},
}

// Whatever is left out of a job with patterns, changed in it or given twice, it
// reads as the one written out does.
func TestPatternsTakeEdits(t *testing.T) {
	tree, err := job.LoadTree(filepath.Join(jobs, "house.toml"))
	if err != nil {
		t.Fatal(err)
	}
	whole := tree
	if tree, err = tree.With(houseByPatterns); err != nil {
		t.Fatal(err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	read := func(tree *job.Tree, e job.Edits) (*job.Job, error) {
		edited, err := tree.With(e)
		if err != nil {
			return nil, err
		}
		return edited.Job()
	}
	all := slices.Concat(mutation.Removals(j), mutation.Changes(j, 1.07), mutation.Emptied(j), mutation.EntryRemovals(j), mutation.EntryDoublings(j),
		[]mutation.Mutation{{Says: "in base units", Edits: mutation.InBaseUnits(j)}})
	for _, m := range step(all, 2) {
		_, wrong := read(whole, m.Edits)
		_, err := read(tree, m.Edits)
		switch {
		case err == nil || wrong != nil:
		case strings.Contains(err.Error(), "run along the eave") || strings.Contains(err.Error(), "does not fit") || strings.Contains(err.Error(), "between the setbacks"):
		default:
			t.Errorf("%s: %v", m.Says, err)
		}
	}
}

// What a pattern needs and the job leaves out is what a check finds missing.
func TestPatternsLeaveOpen(t *testing.T) {
	for edit, want := range map[string]string{"plane.south.framing.spacing": "array.south", "array.south.rows": "array.south", "plane.south.outline": "array.south"} {
		e := houseByPatterns
		e.Unset = append(slices.Clone(e.Unset), edit)
		b, tables := book(t)
		r, err := Run(edited(t, "house", e), b, tables, Options{})
		if err != nil {
			t.Fatal(err)
		}
		asked := 0
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			for _, need := range o.Needs {
				if slices.Contains(need.Keys, edit) {
					asked++
				}
				if slices.Contains(need.Keys, want+".origin") || slices.Contains(need.Keys, want+".attachments.spacing") {
					t.Errorf("without %s %s asks for %s", edit, o.Check.ID, need)
				}
			}
		}
		if asked == 0 {
			t.Errorf("nothing asks for %s", edit)
		}
	}
}

// A job that uses patterns, and what it is printed as in full, are reviewed as
// the one that writes everything out.
func TestPatternsReviewAlike(t *testing.T) {
	path := filepath.Join(jobs, "house.toml")
	b, tables := book(t)
	says := func(j *job.Job) (out []string) {
		r, err := Run(j, b, tables, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			out = append(out, fmt.Sprint(o.Check.ID, "|", o.Subject.Key, "|", o.Result, "|", o.Measure, "|", o.Limit, "|", o.Finding, "|", o.Remedy, "|", o.Reason, "|", o.Needs))
		}
		return out
	}
	tree, err := job.LoadTree(path)
	if err != nil {
		t.Fatal(err)
	}
	if tree, err = tree.With(houseByPatterns); err != nil {
		t.Fatal(err)
	}
	patterned, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	text, err := tree.Expanded()
	if err != nil {
		t.Fatal(err)
	}
	full, err := job.Parse(path, text, os.ReadFile)
	if err != nil {
		t.Fatal(err)
	}
	want := says(edited(t, "house", job.Edits{}))
	for name, j := range map[string]*job.Job{"with patterns": patterned, "printed in full": full} {
		got := says(j)
		if len(got) != len(want) {
			t.Fatalf("%s: %d outcomes, expected %d", name, len(got), len(want))
		}
		for i := range want {
			if got[i] != want[i] {
				t.Errorf("%s:\n%s\nexpected\n%s", name, got[i], want[i])
			}
		}
	}
}
