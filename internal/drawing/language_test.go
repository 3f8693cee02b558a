package drawing

import (
	"io"
	"regexp"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

var (
	// The words are found by how they are spelled, not by the list that replaces
	// them.
	british  = regexp.MustCompile(`(?i)\b(\w*(isation|ised|ising|our(s|ed|ing)?|lled|lling|metres?|fibre)|grey|centres?|alumin(ium)|licences?|storeys?|catalogue)\b`)
	alike    = regexp.MustCompile(`(?i)^(four|hours?|our|your|pour(s|ed|ing)?|fours|rais(ed|ing)|advised|supervised|comprised|revised|install(ed|ing)|pulled|pulling|called|calling|filled|filling|rolled|drilled|drilling|controlled|controlling|uncontrolled|sprinklered|tour|falling|rising|uninstalled|killed|selling|spelled|skilled|unfilled|refilled|enrolled|compelled|sealing|precise|promised|excelled|surprised|exercised)$`)
	unread   = regexp.MustCompile(`\d\.\d+ in\b|\bdeg[FC]\b`)
	metal    = regexp.MustCompile(`\b0\.0\d+ in\b`) // the thickness of sheet, which no tape reads
	metric   = regexp.MustCompile(`\d (mm|cm|m|kPa|Pa|N|kN|kg|m2|°C|m/s)\b|\d °C`)
	ofTheUS  = regexp.MustCompile(`\d (in|ft|psf|psi|lb|mph|ft2)\b|\d °F|\d+ ft \d`)
	metricAs = regexp.MustCompile(`(%|V|A)/°?C|\d °C`) // cut sheets and code tables state degrees Celsius in both systems
)

// Every drawing of every job is in the spelling, signs and units of its job. What
// the job itself says stays as it is.
func TestDrawingsAreInTheLanguageOfTheirJob(t *testing.T) {
	kinds := map[string]func(io.Writer, *review.Review, Options) error{"roof": RoofPlan, "section": AttachmentSection, "one-line": OneLine, "placards": Placards}
	seen := map[quantity.System]int{}
	jobs := everyJob(t)
	for _, name := range []string{"house", "barn-faulty"} {
		jobs[name+" in SI"] = reporttest.Drawn(t, name, job.Edits{Set: map[string]any{"project.units": "SI"}}, nil)
	}
	for name, r := range jobs {
		var said strings.Builder
		for _, f := range r.Job.Files {
			said.Write(f.Text)
		}
		seen[r.System]++
		for kind, draw := range kinds {
			for _, x := range textsOf(t, parsed(t, svgOf(t, draw, r, Options{}))) {
				wrong := ofTheUS
				if r.System != quantity.SI {
					wrong = metric
					for _, w := range british.FindAllString(x.text, -1) {
						if !alike.MatchString(w) && !strings.Contains(said.String(), w) {
							t.Errorf("%s, %s: %q is not spelled as in the US: %s", name, kind, w, x.text)
						}
					}
				}
				if s := unread.FindString(metal.ReplaceAllString(x.text, "")); s != "" {
					t.Errorf("%s, %s: %q: %s", name, kind, s, x.text)
				}
				if s := wrong.FindString(x.text); s != "" && !metricAs.MatchString(x.text) && !strings.Contains(said.String(), s) {
					t.Errorf("%s, %s: %q is of the other system: %s", name, kind, s, x.text)
				}
			}
		}
	}
	if seen[quantity.US] == 0 || seen[quantity.SI] == 0 {
		t.Errorf("jobs by system: %v; both are wanted", seen)
	}
}

// An accepted deviation stays on the drawing, in words and in a shape of its own,
// and is no comment: the same job without the acceptance has one more.
func TestAcceptedDeviationsStayVisible(t *testing.T) {
	open := reporttest.Drawn(t, "barn-faulty", job.Edits{}, nil)
	c := open.Comments()[0]
	for i := range open.Outcomes {
		if o := &open.Outcomes[i]; o.Check == c.Worst().Check && o.Outstanding() {
			o.Excused = &review.Deviation{Deviation: job.Deviation{Reason: job.Text{Value: "agreed at the counter"}, By: job.Text{Value: "the authority"}}}
		}
	}
	want := map[bool]string{}
	for _, draw := range []func(io.Writer, *review.Review, Options) error{RoofPlan, OneLine} {
		svg := string(svgOf(t, draw, open, Options{}))
		on := strings.Contains(svg, `class="accepted"`)
		if on {
			want[true] = svg
		}
	}
	svg := want[true]
	var all strings.Builder
	for _, x := range textsOf(t, parsed(t, []byte(svg))) {
		all.WriteString(x.text + " ")
	}
	for _, s := range []string{"A1 accepted", "no comment to answer", "agreed at the counter"} {
		if !strings.Contains(all.String(), s) {
			t.Errorf("no drawing says %q", s)
		}
	}
}

// A placard says which section it rests on, or that the adopted edition has none
// and why; its colours come from the table.
func TestPlacardsSayWhatAsksForThem(t *testing.T) {
	svg := svgOf(t, Placards, reporttest.Drawn(t, "house", job.Edits{}, nil), Options{})
	var all strings.Builder
	for _, x := range textsOf(t, parsed(t, svg)) {
		all.WriteString(x.text + " ")
	}
	for _, s := range []string{"NEC 2023 asks for none: 690.54 is taken out", "white on red by NEC 2023 690.12(D)(2) (from memory)"} {
		if !strings.Contains(all.String(), s) {
			t.Errorf("the placards of the house do not say %q", s)
		}
	}
	for name, r := range everyJob(t) {
		for i := range r.Job.Labels {
			p := &placards{newSVGDrawing(r, "placards", "")}
			if s := p.askedBy(r.Job.Labels[i].Kind); s == "no adopted section asks for it" {
				t.Errorf("%s: label %s rests on nothing", name, r.Job.Labels[i].Name.Value)
			}
		}
	}
}
