package review

import (
	"slices"
	"testing"

	"plumbrule/internal/job"
)

// keysOfMissing are the keys of a list of what is missing.
func keysOfMissing(list []*Missing) (keys []string) {
	for _, m := range list {
		keys = append(keys, m.Need.Keys...)
	}
	return keys
}

// A job that states no edition is told of the keys that the checks ask for once
// it does, each once, and its own review stays as it is.
func TestWhatEditionsWillAskFor(t *testing.T) {
	s := session(t, "house")
	if ahead, err := s.Review().Ahead(); ahead != nil || err != nil {
		t.Errorf("a job that adopts its editions: %v, %v", ahead, err)
	}
	next, err := s.With(job.Edits{Unset: []string{"adoption", "rapid_shutdown.time"}})
	if err != nil {
		t.Fatal(err)
	}
	r := next.Review()
	ahead, err := r.Ahead()
	if err != nil || ahead == nil {
		t.Fatal(ahead, err)
	}
	now, then := keysOfMissing(r.Missing()), keysOfMissing(ahead.Missing)
	if key := "rapid_shutdown.time"; slices.Contains(now, key) || !slices.Contains(then, key) {
		t.Errorf("%s is asked now %v, and with editions %v", key, now, then)
	}
	for _, m := range ahead.Missing {
		if slices.ContainsFunc(r.Missing(), func(n *Missing) bool { return n.Need.String() == m.Need.String() }) {
			t.Errorf("%s stands in both lists", m.Need)
		}
	}
	for _, key := range then {
		if parts, _ := job.SplitKey(key); parts[0] == "adoption" {
			t.Errorf("%s is asked although editions stand in", key)
		}
	}
	if r.Job.Adoption.NEC.Known || len(r.Adopted) != 0 {
		t.Error("the job adopts what only stood in")
	}
}

// Only what a job leaves out gets an edition that stands in, the newest that
// most checks are written for.
func TestStandInEditions(t *testing.T) {
	next, err := session(t, "house").With(job.Edits{Unset: []string{"adoption.nec"}})
	if err != nil {
		t.Fatal(err)
	}
	ahead, err := next.Review().Ahead()
	if err != nil || ahead == nil {
		t.Fatal(ahead, err)
	}
	if len(ahead.Editions) != 1 || ahead.Editions[0].String() != "NEC 2023" {
		t.Errorf("%v stand in", ahead.Editions)
	}
	if len(ahead.Missing) != 0 {
		t.Errorf("a job that is whole but for it is asked for %v", keysOfMissing(ahead.Missing))
	}
}
