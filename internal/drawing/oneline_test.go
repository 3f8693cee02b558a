package drawing

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

// everyJob reviews the demo and ordinary jobs.
func everyJob(t *testing.T) map[string]*review.Review {
	t.Helper()
	out := map[string]*review.Review{}
	for _, folder := range []string{"jobs", "ordinary"} {
		files, err := filepath.Glob(filepath.Join("..", "..", "testdata", folder, "*.toml"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			j, err := job.Load(file)
			if err != nil {
				continue // types of equipment alone
			}
			r, err := review.Run(j, reporttest.OwnRules(t), reporttest.OwnTables(t), review.Options{})
			if err != nil {
				t.Fatal(err)
			}
			out[filepath.Base(file)] = r
		}
	}
	if len(out) < 12 {
		t.Fatalf("%d jobs were read", len(out))
	}
	return out
}

// On the one-line of every job no text lies over another or is cut.
func TestOneLineOfEveryJob(t *testing.T) {
	for name, r := range everyJob(t) {
		t.Run(name, func(t *testing.T) {
			svg := svgOf(t, OneLine, r, Options{})
			checkSheet(t, svg, r, false)
			for _, x := range diagramTexts(t, svg) {
				if strings.HasSuffix(x.text, "...") {
					t.Errorf("%q is cut", x.text)
				}
			}
		})
	}
}

// diagramTexts are the texts of a drawing without those of its title strips,
// which stand in the last places.
func diagramTexts(t *testing.T, svg []byte) []svgText {
	texts := textsOf(t, parsed(t, svg))
	for i, x := range texts {
		if x.text == "One-line diagram" {
			return texts[:max(0, i-4)]
		}
	}
	t.Fatal("the drawing has no title")
	return nil
}

// saysAll joins the texts of the diagram.
func saysAll(t *testing.T, svg []byte) string {
	var out []string
	for _, x := range diagramTexts(t, svg) {
		out = append(out, x.text)
	}
	return strings.Join(out, "\n")
}

// What the house says of its conductors, devices and busbars. The feeder lists
// three conductors in a raceway of its own; the two branches share one, so that
// the lines of a 240 V branch are counted and marked.
func TestOneLineSaysConductorsAndDevices(t *testing.T) {
	r := reporttest.Drawn(t, "house", job.Edits{}, steadyChecks)
	text := saysAll(t, svgOf(t, OneLine, r, Options{}))
	for _, want := range []string{"3 #8 THWN-2 Cu\n+ 1 #10 G\nin 3/4 in EMT\n15 ft\n26.18 A max", "2* #10 THWN-2 Cu", "backfed*", "* derived: ",
		"busbar 125 A", "service 200 A\n240 V, split-phase", "option opposite-end", "main\n200 A", "11 units\ntype U285\n285 W, 1.19 A each"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the drawing:\n%s", want, text)
		}
	}
	barn := saysAll(t, svgOf(t, OneLine, reporttest.Drawn(t, "barn", job.Edits{}, steadyChecks), Options{}))
	for _, want := range []string{"at −14 °F\nIsc 13.9 A", "output 47.5 A", "grounding electrode: rod, 2 of them, #6 Cu"} {
		if !strings.Contains(barn, want) {
			t.Errorf("%q is not on the drawing:\n%s", want, barn)
		}
	}
}

// Back-fed breakers stand inside the enclosure of the panel that they are in.
func TestOneLineBreakersStandInTheirPanels(t *testing.T) {
	r := reporttest.Drawn(t, "house", job.Edits{}, steadyChecks)
	all := parsed(t, svgOf(t, OneLine, r, Options{}))
	var boxes []svgBox
	for _, e := range all {
		if e.name == "rect" && e.attr["stroke-dasharray"] == "5 2.5" {
			x, y := number(t, e.attr["x"]), number(t, e.attr["y"])
			if b := (svgBox{x, y, x + number(t, e.attr["width"]), y + number(t, e.attr["height"])}); b.width() > 30 {
				boxes = append(boxes, b)
			}
		}
	}
	if len(boxes) != 2 {
		t.Fatalf("%d enclosures, expected those of the combiner panel and the service", len(boxes))
	}
	inside := map[string]int{}
	for _, x := range textsOf(t, all) {
		for _, b := range boxes {
			if b.holds(x.box()) {
				inside[x.text]++
			}
		}
	}
	for _, name := range []string{"B1", "B2", "B3", "main"} {
		if inside[name] != 1 {
			t.Errorf("%s stands in %d enclosures", name, inside[name])
		}
	}
	if inside["PV"] != 0 {
		t.Error("the disconnect stands in an enclosure of a panel")
	}
}

// A part that leads nowhere is drawn apart, with what hangs loose in words.
func TestOneLineDrawsLoosePartsApart(t *testing.T) {
	r := reporttest.Drawn(t, "barn", job.Edits{Unset: []string{"circuit.inverter output", "disconnect.PV disconnect.circuit"}}, nil)
	svg := svgOf(t, OneLine, r, Options{})
	checkSheet(t, svg, r, false)
	text := strings.ReplaceAll(saysAll(t, svg), "\n", " ")
	for _, want := range []string{"loose end", "inverter inverter 1 is drawn apart: no branch or inverter output circuit begins at it"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the drawing: %s", want, text)
		}
	}
	if n := bytes.Count(svg, []byte(`width="24" height="16"`)); n != 3 {
		t.Errorf("%d strings have a symbol, expected 3", n)
	}
}

// A diagram that no format takes gets paper as long as it needs, and its names
// are whole.
func TestOneLineWidensItsPaper(t *testing.T) {
	const long = "disconnect of the second supply behind the eastern wall of the old granary"
	r := reporttest.Drawn(t, "commercial", job.Edits{Set: map[string]any{"disconnect.PV disconnect.name": long}}, nil)
	svg := svgOf(t, OneLine, r, Options{})
	checkSheet(t, svg, r, false)
	if text := strings.ReplaceAll(saysAll(t, svg), "\n", " "); !strings.Contains(text, long) {
		t.Errorf("the name is not whole: %s", text)
	}
	if paper := rollPaper(r.System, 2000); paper.width != 2016 || paper.unitWidth != "28in" {
		t.Errorf("a diagram of 2000 points has paper of %+v", paper.width)
	}
}
