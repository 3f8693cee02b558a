package paper

import (
	"regexp"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
)

// The checklist of each demo job is in the spelling, signs and fractions of its
// system of units, and lists nothing that no tape finds.
func TestChecklistIsInTheLanguageOfItsJob(t *testing.T) {
	us := regexp.MustCompile(`(?i)deg[FC]\b|energis|colour|\bgrey\b|\bcentre|aluminium|\bmetres?\b|utilis|labelled|licence|\d\.\d+ in\b|\d (mm|m|cm|kPa|kN|N|°C)\b|\d °C`)
	si := regexp.MustCompile(`deg[FC]\b|energiz|\b\d+ (in|ft|psf|lb)\b|\d °F`)
	metal := regexp.MustCompile(`\b0\.0\d+ in\b`)
	hidden := regexp.MustCompile(`at least 0 in|^Mean roof height|Lag screws reach|heads are wider`)
	lines := 0
	for _, name := range []string{"house", "house-faulty", "barn", "barn-faulty", "commercial", "commercial-faulty"} {
		for _, units := range []string{"US", "SI"} {
			wrong := us
			if units == "SI" {
				wrong = si
			}
			r := reporttest.Drawn(t, name, job.Edits{Set: map[string]any{"project.units": units}}, nil)
			var said strings.Builder
			for _, f := range r.Job.Files {
				said.Write(f.Text)
			}
			v := makeChecklist(r, Options{})
			for _, s := range v.Steps {
				texts := append(append([]string{s.Title}, s.Cautions...), s.Open...)
				for _, p := range s.Parts {
					for _, l := range p.Lines {
						lines++
						texts = append(texts, l.What+": "+l.Text)
						if strings.Contains(p.Title, "Measure") && hidden.MatchString(l.What+": "+l.Text) {
							t.Errorf("%s: no tape finds %s: %s", name, l.What, l.Text)
						}
					}
				}
				for _, text := range texts {
					if s := wrong.FindString(metal.ReplaceAllString(text, "")); s != "" && !strings.Contains(said.String(), s) {
						t.Errorf("%s in %s: %q: %s", name, units, s, text)
					}
				}
			}
		}
	}
	if lines < 500 {
		t.Errorf("%d lines in all", lines)
	}
}
