package draft

import (
	"strings"
	"testing"
)

// An answer is held against what its question takes, and what is wrong with it is
// said with what is expected.
func TestAnswersAreHeld(t *testing.T) {
	for _, c := range []struct{ question, answer, says string }{
		{"roof", "hip", ""},
		{"roof", "hipp", `one of gable, hip, shed, flat, gambrel is expected, did you mean "hip"?`},
		{"roof", " ", "found nothing"},
		{"length", "48 ft 6 in", ""},
		{"length", "48", "no unit is given"},
		{"length", "0 ft", "out of range"},
		{"length", "2000 m", "out of range"},
		{"slope", "6:12", ""},
		{"slope", "6/12", ""},
		{"slope", "4 1/2 in 12", ""},
		{"slope", "26", "a slope is written as 6:12"},
		{"slope", "90 deg", "out of range"},
		{"front", "northwest", ""},
		{"front", "-30 deg", ""},
		{"front", "400 deg", "out of range"},
		{"front", "norhwest", `did you mean "northwest"?`},
		{"gap-x", "1/2 in", ""},
		{"gap-x", "1/2 kg", "kg is a mass"},
		{"rails", "13 1/2 in, 54 1/4 in", ""},
		{"rails", "13 1/2 in, 54", "no unit is given"},
		{"roof-layers", "1", ""},
		{"roof-layers", "one", "a whole number is expected"},
		{"roof-layers", "1\nname = 2", "cannot be printed"},
		{"service-conductor", "4/0 AWG", ""},
		{"service-conductor", "5/0 AWG", "expected"},
		{"name", "a\nb", "cannot be printed"},
		{"name", "a\xffb", "cannot be printed"},
		{"name", strings.Repeat("x", Longest+1), "more than 1000 characters"},
		{"sprinklered", "false", ""},
		{"sprinklered", "no", "one of true, false is expected"},
		{"name", `O"Neill \ sons`, ""},
		{"array", "front: 2 x 8 portrait, 18 in below ridge; back: 1 x 3, 2 ft above eave, 3 ft from left", ""},
		{"array", "front: 2 x 8, 18 in below ridge, 2 ft above eave", "how high it stands is said twice"},
		{"array", "front: 2 x 8, 18 below ridge", "no unit is given"},
		{"array", "front: 2 x 0", "from 1 to 1000 rows and columns"},
		{"feet", "every 2 ribs staggered", ""},
		{"feet", "every 1 rib staggered", "cannot be staggered"},
		{"feet", "every 0 ribs", "every 1 to every 100 is expected"},
		{"strings", "12, 12; 10", ""},
		{"strings", "12, x", "a whole number from 1 to 200 is expected"},
		{"strings", "", "found nothing"},
		{"branches", "12; 12", "whole numbers parted by commas are expected"},
	} {
		err := find(c.question).Fault(c.answer)
		if c.says == "" && err != nil {
			t.Errorf("--%s %q: %v", c.question, c.answer, err)
		}
		if c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("--%s %q: %v; %q is wanted", c.question, c.answer, err, c.says)
		}
	}
}

// Each question can be told from the others, says what it is about, and its
// default is an answer that it takes.
func TestQuestionsAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, q := range Questions() {
		if seen[q.Name] {
			t.Errorf("--%s is asked twice", q.Name)
		}
		seen[q.Name] = true
		if q.Asks == "" || q.Section == "" || q.Help == "" {
			t.Errorf("--%s: asks %q, helps with %q, under %q", q.Name, q.Asks, q.Help, q.Section)
		}
		if q.Default != "" {
			if err := q.Fault(q.Default); err != nil {
				t.Errorf("--%s: its default: %v", q.Name, err)
			}
		}
		if q.Required && q.Default != "" {
			t.Errorf("--%s is needed and has a default", q.Name)
		}
	}
}

// The only type of a kind in the files of equipment needs no name; of several one
// has to be named.
func TestEquipmentIsChosen(t *testing.T) {
	a := least(gable, ofMicros)
	a["equipment"] = "../../testdata/jobs/equipment.toml"
	d, err := New(a)
	if err != nil {
		t.Fatal(err)
	}
	text := string(d.TOML())
	for _, want := range []string{`= "M400"`, `= "flashed rail"`, `= "lag 5/16 x 4"`, `= "U285"`} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is not in the draft:\n%s", want, text)
		}
	}
	if strings.Contains(text, "_type]]") {
		t.Errorf("a type of the equipment is in the draft:\n%s", text)
	}
	a["equipment"] += ", ../../testdata/ordinary/post-frame.toml"
	if _, err := New(a); err == nil || !strings.Contains(err.Error(), "project.name") {
		t.Errorf("a whole job as a file of equipment: %v", err)
	}
	a["equipment"] = "../../testdata/drafts" // which has the same names in several files
	if _, err := New(a); err == nil || !strings.Contains(err.Error(), `"M400"`) {
		t.Errorf("a folder with a name twice: %v", err)
	}
}
