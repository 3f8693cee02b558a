package draft

import (
	"slices"
	"strconv"

	"plumbrule/internal/job"
)

// head is what every draft says above its first table.
var head = []string{
	"A draft. What stands in it was said, or follows from that. A key behind a # is open: take off its # and put in",
	"the value of this job. What is left open is asked for by: plumbrule check --missing",
	"An entry that is like another takes from it what it does not state itself: state what differs.",
	"Editors that know TOML help with the keys: plumbrule guide begin",
}

// begun are the sections that answers can state where files give the roof and the system.
var begun = []string{"project", "adoption", "site", "building", "rapid_shutdown", "service", "interconnection", "grounding"}

// Begin makes a job of those answers that need no roof: who and where, codes,
// building, equipment and service. name is that of the job where no answer gives
// one. The error has every fault of the answers, among them those that say how a
// roof or a system is made.
func Begin(a Answers, name string) (*Document, error) {
	s := &sketch{a: a, d: &Document{Head: slices.Clone(head)}}
	for _, q := range Questions() {
		answer, given := a[q.Name]
		if !given {
			continue
		}
		if !begins(q) {
			s.fault(q.Name, "", "says how a roof or a system is made, and is asked with --roof alone")
		} else if err := q.Fault(answer); err != nil {
			s.fault(q.Name, "", "%v", err)
		}
	}
	if len(s.faults) == 0 {
		s.readEquipment()
	}
	if err := s.faults.Err(); err != nil {
		return nil, err
	}
	for _, key := range begun {
		t := s.begin(key)
		if key == "project" && !t.states("name") {
			t.Entries = slices.Insert(t.Entries, 0, Entry{Key: "name", Value: job.Quote(name)})
		}
		if len(t.Entries) > 0 {
			s.d.Add(t)
		}
	}
	return s.d, nil
}

// begin makes a section of the answers that were given, without what holds for
// those that were not.
func (s *sketch) begin(key string) *Table {
	t := &Table{Key: key}
	if what, given := s.a["building"]; given && key == "building" {
		t.Set("dwelling", strconv.FormatBool(what == dwelling))
		if what != dwelling {
			t.Set("detached_accessory", strconv.FormatBool(what == accessory))
		}
	}
	for _, q := range Questions() {
		table, last := splitKey(q.key)
		if answer, given := s.a[q.Name]; given && table == key {
			t.Set(last, q.toml(answer))
		}
	}
	return t
}

// begins tells whether an answer can be stated where there is no roof yet.
func begins(q *Question) bool {
	table, _ := splitKey(q.key)
	return slices.Contains(begun, table) || q.Name == "building" || q.Name == "equipment"
}
