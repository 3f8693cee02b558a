package report

import (
	"bytes"
	"encoding/csv"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

func csvTable(t *testing.T, list ...*review.Review) ([]byte, [][]string) {
	t.Helper()
	var b bytes.Buffer
	if err := CSV(&b, list); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), rows
}

func TestCSV(t *testing.T) {
	full, _ := csvTable(t, reporttest.Trial(t, job.Edits{}))
	reporttest.Golden(t, "full.csv", full)
}

// Every outcome of every job has its row.
func TestCSVHoldsEveryOutcome(t *testing.T) {
	full, clean := reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, reporttest.Clear)
	_, rows := csvTable(t, full, clean)
	if want := 1 + full.Totals.Pairs + clean.Totals.Pairs; len(rows) != want {
		t.Errorf("%d rows, expected %d", len(rows), want)
	}
	count := map[string]int{}
	for _, row := range rows[1 : 1+full.Totals.Pairs] {
		if row[16] != "" {
			count["excused"]++
		} else {
			count[row[4]]++
		}
	}
	n := full.Totals
	for outcome, want := range map[string]int{"met": n.Met, "not met": n.NotMet, "undetermined": n.Undetermined, "not applicable": n.NotApplicable, "excused": n.Excused} {
		if count[outcome] != want {
			t.Errorf("%d rows are %s, the review has %d", count[outcome], outcome, want)
		}
	}
}

// A name of the job cannot run as a formula, break the row or forge another.
func TestCSVIsHarmless(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{Set: map[string]any{"overcurrent.F2.name": "x\",=1+1\r\n\"=cmd", "deviation.1.subject": "x\",=1+1\r\n\"=cmd", "deviation.1.by": "=HYPERLINK(\"x\")"}})
	_, rows := csvTable(t, r)
	if len(rows) != 1+r.Totals.Pairs {
		t.Errorf("%d rows for %d outcomes", len(rows), r.Totals.Pairs)
	}
	found := false
	for _, row := range rows {
		for _, cell := range row {
			found = found || cell == "'=HYPERLINK(\"x\"): existing device, to be changed at the next shutdown"
			if cell != "" && bytes.ContainsAny([]byte(cell[:1]), "=@") {
				t.Errorf("a cell would run as a formula: %q", cell)
			}
		}
	}
	if !found {
		t.Error("the accepted deviation is not in the table")
	}
	for cell, want := range map[string]string{"": "", "-14 degF": "'-14 degF", "-14": "-14", "+1e3": "+1e3", "=A1": "'=A1", "@x": "'@x", "-": "'-", "a=b": "a=b", "\t=x": "'\t=x"} {
		if got := harmless(cell); got != want {
			t.Errorf("%q is written %q, expected %q", cell, got, want)
		}
	}
}
