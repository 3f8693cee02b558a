package report

import (
	"bytes"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

// worse alters the job of the tests so that some findings go and others come.
var worse = job.Edits{
	Set:   map[string]any{"overcurrent.F1.rating": "45 A", "overcurrent.F2.rating": "15 A", "label.DC placard.voltage": "470 V"},
	Unset: []string{"site.record_low", "overcurrent.F5", "overcurrent.F6.rating"},
}

func changes(t *testing.T, before, after *review.Review, o TextOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := Changes(&b, after, review.Compare(before, after), o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestChanges(t *testing.T) {
	before, after := reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, worse)
	reporttest.Golden(t, "changes.txt", []byte(changes(t, before, after, TextOptions{})))
	reporttest.Golden(t, "changes-back.txt", []byte(changes(t, after, before, TextOptions{})))
	reporttest.Golden(t, "changes-clear.txt", []byte(changes(t, before, reporttest.Trial(t, reporttest.Clear), TextOptions{Width: 60})))
	if got := changes(t, before, after, TextOptions{Color: true}); stripColour(got) != changes(t, before, after, TextOptions{}) {
		t.Error("colour adds something")
	}
}

// Names that come with hostile text do not steer the terminal.
func TestChangesKeepTheTerminalSafe(t *testing.T) {
	tree := reporttest.HostileRoof(t)
	got := changes(t, reporttest.Roof(t, job.Edits{}), tree, TextOptions{})
	if strings.ContainsRune(got, '\u202e') {
		t.Error("a character that turns the writing came through")
	}
}
