package paper

import (
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
)

func itemOf(t *testing.T, v *checklistView, array, label string) string {
	t.Helper()
	for _, a := range v.Arrays {
		for _, f := range a.Items {
			if a.Name == array && f.Label == label {
				return f.Text
			}
		}
	}
	t.Fatalf("array %s has no item %q", array, label)
	return ""
}

func TestChecklistOfAnArray(t *testing.T) {
	v := makeChecklist(reporttest.Roof(t, job.Edits{}), trialOptions)
	for label, want := range map[string]string{
		"Modules":             "8: 1 row of 8 columns, portrait",
		"Lower left corner":   "60 in from the left end, 40 in up the slope",
		"Gap between columns": "0.5 in; the maker asks for 0.5 in within 0.125 in",
		"Feet":                "16 on 2 lines",
		"Spacing of feet":     "48 in, the first 14 in from the left edge of the array",
		"Lugs":                "1: row 1 column 8",
		"Bonding parts":       notStated,
	} {
		if got := itemOf(t, v, "south", label); got != want {
			t.Errorf("%s: %q, expected %q", label, got, want)
		}
	}
	if got := itemOf(t, v, "later", "Modules"); got != notStated {
		t.Errorf("an array that is not known has %q modules", got)
	}
}

func TestChecklistMeasures(t *testing.T) {
	v := makeChecklist(reporttest.Roof(t, job.Edits{Unset: []string{"array.later"}}), trialOptions)
	want := []measureList{
		{"Clear paths and strips", []measureLine{{"Clear strip below the ridge", "array south", "40 in", "at least 36 in", false}}},
		{"Layout", []measureLine{{"Feet stand close enough", "", "48 in", "at most 40 in", true}}},
	}
	for i := range v.Measures {
		for j, l := range v.Measures[i].Lines {
			if l.What == "Feet stand close enough" {
				if !strings.HasSuffix(l.Subject, "(nearest to its limit of 16)") {
					t.Errorf("subject %q", l.Subject)
				}
				v.Measures[i].Lines[j].Subject = ""
			}
		}
	}
	if !slices.EqualFunc(v.Measures, want, func(a, b measureList) bool {
		return a.Title == b.Title && slices.Equal(a.Lines, b.Lines)
	}) {
		t.Errorf("%+v, expected %+v", v.Measures, want)
	}
}

// The label of the faulty barn says 448 V; its longest string reaches 635.87 V.
func TestChecklistLabelsCarryTheComputedValue(t *testing.T) {
	v := makeChecklist(reporttest.Demo(t, "barn-faulty"), trialOptions)
	i := slices.IndexFunc(v.Labels, func(l labelLine) bool { return l.Kind == "dc-voltage" })
	if i < 0 {
		t.Fatal("no label with the DC voltage")
	}
	if l := v.Labels[i]; l.Says != "448 V, 52.1 A" || l.Computed != "635.87 V" || !strings.Contains(l.Review, "change: ") {
		t.Errorf("%+v", l)
	}
}

func TestChecklistNamesTheMakersPaper(t *testing.T) {
	said := func(edits job.Edits) string {
		return strings.Join(makeChecklist(reporttest.Roof(t, edits), trialOptions).Makers, "\n")
	}
	if got := said(job.Edits{}); !strings.Contains(got, "feet of rails: by manual; ") {
		t.Errorf("%s", got)
	}
	if got := said(job.Edits{Unset: []string{"document.manual"}}); !strings.Contains(got, "the submittal holds none") {
		t.Errorf("%s", got)
	}
}

func TestChecklistTakesTheFieldRowsOfTheScope(t *testing.T) {
	v := makeChecklist(reporttest.Roof(t, job.Edits{}), trialOptions)
	if want := []lookLine{{"T-01", "layout", "Every foot sealed before its row is covered."}}; !slices.Equal(v.Look, want) {
		t.Errorf("%v, expected %v", v.Look, want)
	}
	if len(v.Accepted) != 1 || !strings.Contains(v.Accepted[0].Text, "J. Plans Examiner") {
		t.Errorf("accepted %v", v.Accepted)
	}
}
