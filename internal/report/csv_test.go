package report

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

func csvTable(t *testing.T, o Options, list ...*review.Review) ([]byte, []map[string]string) {
	t.Helper()
	var b bytes.Buffer
	if err := CSV(&b, slices.Values(list), o); err != nil {
		t.Fatal(err)
	}
	cells, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, cells := range cells[1:] {
		row := map[string]string{}
		for i, name := range csvColumns {
			row[name] = cells[i]
		}
		rows = append(rows, row)
	}
	return b.Bytes(), rows
}

func TestCSV(t *testing.T) {
	full, _ := csvTable(t, Options{}, reporttest.Trial(t, job.Edits{}))
	reporttest.Golden(t, "full.csv", full)
	all, _ := csvTable(t, Options{All: true}, reporttest.Trial(t, job.Edits{}))
	reporttest.Golden(t, "all.csv", all)
}

// With all, every outcome of every job has its row.
func TestCSVHoldsEveryOutcome(t *testing.T) {
	full, clean := reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, reporttest.Clear)
	_, rows := csvTable(t, Options{All: true}, full, clean)
	count := map[string]int{}
	for _, row := range rows {
		switch {
		case row["outcome"] == "deviation":
			count["deviation"]++
		case row["check"] == "":
			count["key"]++
		case row["excused"] != "":
			count["excused"]++
		default:
			count[row["outcome"]]++
		}
	}
	a, b := full.Totals, clean.Totals
	for outcome, want := range map[string]int{"met": a.Met + b.Met, "not met": a.NotMet + b.NotMet, "undetermined": a.Undetermined + b.Undetermined,
		"not applicable": a.NotApplicable + b.NotApplicable, "excused": a.Excused + b.Excused, "key": 2, "deviation": 1} {
		if count[outcome] != want {
			t.Errorf("%d rows are %s, the reviews have %d", count[outcome], outcome, want)
		}
	}
}

// A name of the job cannot run as a formula, break the row or forge another.
func TestCSVIsHarmless(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{Set: map[string]any{"overcurrent.F2.name": "x\",=1+1\r\n\"=cmd", "deviation.1.subject": "x\",=1+1\r\n\"=cmd", "deviation.1.by": "=HYPERLINK(\"x\")"}})
	_, rows := csvTable(t, Options{All: true}, r)
	if len(rows) != r.Totals.Pairs+3 {
		t.Errorf("%d rows for %d outcomes, two keys left out and a deviation that excuses nothing", len(rows), r.Totals.Pairs)
	}
	found := false
	for _, row := range rows {
		for _, cell := range row {
			found = found || strings.HasPrefix(cell, "'=HYPERLINK(\"x\"), 2024-05-06, letter 12: existing device")
			if cell != "" && bytes.ContainsAny([]byte(cell[:1]), "=@") {
				t.Errorf("a cell would run as a formula: %q", cell)
			}
		}
	}
	if !found {
		t.Error("the accepted deviation is not in the table")
	}
	for cell, want := range map[string]string{"": "", "-14 degF": "'-14 degF", "-14": "-14", "+1e3": "+1e3", "=A1": "'=A1", "@x": "'@x", "-": "'-", "a=b": "a=b", "\t=x": "' =x",
		"\n=x": "' =x", "＝A1": "'＝A1", "＋x": "'＋x", " =A1": "' =A1", "\u3000＠x": "'\u3000＠x", "-Inf": "'-Inf", "-0x1p-2": "'-0x1p-2", "-1_000": "'-1_000", "大門": "大門", " x": " x",
		"\t": "' ", "\rx": "'?x", "\"=x": "'\"=x", "' =x": "'' =x", "\u200b=x": "'\u200b=x", "\u00a0\u2003=x": "'\u00a0\u2003=x", "“=x”": "'“=x”", "−14 °F": "'−14 °F", "-14.5": "-14.5", "12 ft": "12 ft",
		"a\x1b[2Jb\u202e\u2066": "a?[2Jb??", "\x1b=x": "?=x", "-1\u202e2": "'-1?2", "a\nb\tc": "a b c", "a;=x;+y; -z;b": "a;'=x;'+y;' -z;b", "\ufeff-5": "'\ufeff-5", "\xff=x": "\ufffd=x"} {
		if got := harmless(cell); got != want {
			t.Errorf("%q is written %q, expected %q", cell, got, want)
		}
	}
}
