package draft

import (
	"slices"
	"strings"
	"testing"
)

// put lists the names of the questions that are put to a person who gives some
// answers and leaves all else open.
func put(answers Answers) (names []string) {
	so := Answers{}
	for _, q := range Interview() {
		if q.Asked(so.Said()) && (q.Turn == nil || q.Turn(so)) {
			names = append(names, q.Name)
			so[q.Name] = answers[q.Name]
		}
	}
	return names
}

// A house is asked for in twenty questions and one more, which ends it.
func TestFewQuestionsShapeTheJob(t *testing.T) {
	for _, roof := range find("roof").Words {
		for _, scheme := range find("scheme").Words {
			for _, building := range find("building").Words {
				a := least(roof, scheme)
				a["building"] = building
				names := put(a)
				most := 21
				if roof == gambrel { // whose two slopes and break are three questions instead of one
					most += 2
				}
				if len(names) > most || names[len(names)-1] != moreNow {
					t.Errorf("%s, %s, %s: %d questions: %v", building, roof, scheme, len(names), names)
				}
				if slices.Contains(names, "irc") == slices.Contains(names, "ibc") {
					t.Errorf("%s: both building codes are asked for, or none: %v", building, names)
				}
			}
		}
	}
}

// Who says more is asked about each section, and where that is wanted, all of it:
// every question can be reached.
func TestEveryQuestionCanBeReached(t *testing.T) {
	reached := map[string]bool{}
	for _, roof := range find("roof").Words {
		for _, scheme := range find("scheme").Words {
			for _, steel := range []string{"steel", "wood"} {
				a := least(roof, scheme)
				a["framing-material"], a["lugs"] = steel, "left"
				for _, q := range Interview() {
					if strings.HasPrefix(q.Name, more) {
						a[q.Name] = yes
					}
				}
				names := put(a)
				for i, name := range names {
					reached[name] = true
					if slices.Contains(names[i+1:], name) {
						t.Errorf("%s is asked twice", name)
					}
				}
			}
		}
	}
	for _, q := range Interview() {
		if !reached[q.Name] {
			t.Errorf("%s is never asked", q.Name)
		}
	}
	for _, q := range Questions() {
		if strings.HasPrefix(q.Name, more) {
			t.Errorf("--%s looks like a question of the interview alone", q.Name)
		}
	}
	for _, name := range firstAsked {
		find(name)
	}
	// A section that is not gone into leaves its questions out.
	names := put(Answers{moreNow: yes, "more-framing": yes})
	if !slices.Contains(names, "framing-spacing") || slices.Contains(names, "electrode") || !slices.Contains(names, "more-grounding") {
		t.Errorf("asked: %v", names)
	}
}
