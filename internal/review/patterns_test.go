package review

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"plumbrule/internal/job"
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
	if tree, err = tree.With(job.Edits{
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
	}); err != nil {
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
