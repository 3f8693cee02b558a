package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

var svgJobs = []string{"barn", "barn-faulty", "house", "house-faulty"}

// steadyChecks keep the golden drawings from changing with every new rule.
var steadyChecks = []string{
	"electrical/string-fuse", "electrical/string-fuse-largest", "electrical/string-voltage-inverter", "electrical/module-counts-agree",
	"fire/ridge-strip", "fire/pathway-on-array-plane", "grounding/equipment-ground-size", "labels/dc-voltage-agrees", "structural/attachment-uplift",
}

type svgWriter func(io.Writer, *review.Review, Options) error

var svgWriters = map[string]svgWriter{"roof": RoofPlan, "oneline": OneLine, "section": AttachmentSection}

func svgOf(t testing.TB, write svgWriter, r *review.Review, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b, r, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSVGGolden(t *testing.T) {
	for _, name := range svgJobs {
		r := reporttest.Drawn(t, name, job.Edits{}, steadyChecks)
		for kind, write := range svgWriters {
			reporttest.Golden(t, "svg-"+name+"-"+kind+".svg", svgOf(t, write, r, Options{}))
		}
	}
}

// svgElement is an element of a drawing with its text.
type svgElement struct {
	name string
	attr map[string]string
	text string
	in   []string // names of the elements around it
}

// parsed reads a drawing; that it is well formed is the first thing tested.
func parsed(t testing.TB, svg []byte) []*svgElement {
	t.Helper()
	var all, open []*svgElement
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatalf("the drawing is not well formed: %v", err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			e := &svgElement{name: token.Name.Local, attr: map[string]string{}}
			for _, a := range token.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			for _, o := range open {
				e.in = append(e.in, o.name)
			}
			all, open = append(all, e), append(open, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				open[len(open)-1].text += string(token)
			}
		}
	}
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// textsOf gives every text of a drawing with the room it takes.
func textsOf(t testing.TB, all []*svgElement) []svgText {
	t.Helper()
	var out []svgText
	for _, e := range all {
		if e.name != "text" {
			continue
		}
		x := svgText{at: svgPoint{number(t, e.attr["x"]), number(t, e.attr["y"])}, text: e.text, size: number(t, e.attr["font-size"]),
			anchor: e.attr["text-anchor"], bold: e.attr["font-weight"] == "bold"}
		if turn, ok := strings.CutPrefix(e.attr["transform"], "rotate("); ok {
			x.turn = number(t, strings.Fields(turn)[0])
		}
		out = append(out, x)
	}
	return out
}

// sheetOf is the paper of a drawing by its own numbers.
func sheetOf(t testing.TB, all []*svgElement, texts []svgText) svgSheet {
	t.Helper()
	view, sheets := strings.Fields(all[0].attr["viewBox"]), 0
	for _, x := range texts {
		if n, ok := strings.CutPrefix(x.text, "sheet 1 of "); ok {
			sheets = int(number(t, n))
		}
	}
	if len(view) != 4 || sheets == 0 {
		t.Fatalf("a drawing of %d sheets with the frame %v", sheets, view)
	}
	return svgSheet{width: number(t, view[2]), height: number(t, view[3]) / float64(sheets)}
}

// What a drawing must hold whatever the job: texts that can be read, apart from
// each other and inside the border; ids that are unique; links that lead
// somewhere; no script, no font, nothing fetched.
func checkSheet(t *testing.T, svg []byte, r *review.Review, embedded bool) {
	t.Helper()
	all := parsed(t, svg)
	ids := map[string]bool{}
	for _, e := range all {
		if id := e.attr["id"]; id != "" {
			if ids[id] {
				t.Errorf("id %q is given twice", id)
			}
			ids[id] = true
		}
		switch e.name {
		case "script", "style", "image", "foreignObject", "use":
			t.Errorf("the drawing has a <%s>", e.name)
		}
	}
	for _, e := range all {
		if href, ok := e.attr["href"]; ok && (!strings.HasPrefix(href, "#") || !embedded && !ids[href[1:]]) {
			t.Errorf("the link %q leads nowhere", href)
		}
		for _, a := range e.attr {
			if id, ok := strings.CutPrefix(a, "url(#"); ok && !ids[strings.TrimSuffix(id, ")")] {
				t.Errorf("%q is not defined", a)
			}
		}
	}
	texts := textsOf(t, all)
	paper := sheetOf(t, all, texts)
	if len(texts) < 10 {
		t.Fatalf("the drawing has %d texts", len(texts))
	}
	boxes := make([]svgBox, len(texts))
	for i, x := range texts {
		if x.size < sizeText {
			t.Errorf("%q is %v points high, smaller than can be read in print", x.text, x.size)
		}
		boxes[i] = x.box()
		sheet := math.Floor(x.at.y / paper.height)
		border := svgBox{sheetMargin, sheet*paper.height + sheetMargin, paper.width - sheetMargin, (sheet+1)*paper.height - sheetMargin}
		if !border.holds(boxes[i]) {
			t.Errorf("%q runs out of the border: %+v", x.text, boxes[i])
		}
	}
	for i, a := range boxes {
		for k, b := range boxes[:i] {
			if a.grown(-0.4).meets(b) {
				t.Errorf("%q lies over %q", texts[i].text, texts[k].text)
			}
		}
	}
}

func TestSVGSheets(t *testing.T) {
	for _, name := range svgJobs {
		r := reporttest.Drawn(t, name, job.Edits{}, nil)
		si := reporttest.Drawn(t, name, job.Edits{Set: map[string]any{"project.units": "SI"}}, nil)
		for kind, write := range svgWriters {
			t.Run(name+" "+kind, func(t *testing.T) {
				checkSheet(t, svgOf(t, write, r, Options{Version: "revision 0123456789ab with changes"}), r, false)
				checkSheet(t, svgOf(t, write, r, Options{Embedded: true}), r, true)
				checkSheet(t, svgOf(t, write, si, Options{Version: "1.2.3"}), si, false)
			})
		}
	}
}

// Every comment has one mark on one of the two drawings, at its worst subject,
// and no subject a second one; a drawing that stands by itself lists the comments
// that it marks.
func TestSVGMarksEveryComment(t *testing.T) {
	mark, entry := regexp.MustCompile(`id="mark-([\d.]+)"`), regexp.MustCompile(`id="comment-(\d+)"`)
	flag := regexp.MustCompile(`<a class="mark" id="mark-(\d+)" href="#comment-(\d+)">`)
	for _, name := range svgJobs {
		r := reporttest.Drawn(t, name, job.Edits{}, nil)
		marks := map[string]int{}
		for kind, write := range svgWriters {
			svg := svgOf(t, write, r, Options{})
			listed := map[string]bool{}
			for _, m := range entry.FindAllSubmatch(svg, -1) {
				listed[string(m[1])] = true
			}
			for _, m := range flag.FindAllSubmatch(svg, -1) {
				marks[string(m[1])]++
				if string(m[1]) != string(m[2]) || !listed[string(m[1])] {
					t.Errorf("%s %s: the mark %s leads to comment %s, listed %v", name, kind, m[1], m[2], listed[string(m[1])])
				}
			}
			if svg := svgOf(t, write, r, Options{Embedded: true}); entry.Match(svg) {
				t.Errorf("%s %s: an embedded drawing lists comments, which the page does", name, kind)
			}
			for _, m := range mark.FindAllSubmatch(svg, -1) {
				cause, _, _ := strings.Cut(string(m[1]), ".")
				if n, err := strconv.Atoi(cause); err != nil || n > len(r.Comments()) {
					t.Errorf("%s %s: the mark %s is of no comment", name, kind, m[1])
				}
			}
		}
		for _, c := range r.Comments() {
			if got := marks[strconv.Itoa(c.Number)]; got != 1 {
				t.Errorf("%s: comment %d (%s) has %d marks", name, c.Number, wording.Heading(c), got)
			}
		}
		if len(marks) != len(r.Comments()) {
			t.Errorf("%s: %d marks for %d comments", name, len(marks), len(r.Comments()))
		}
	}
}

// What comes of a comment bears its number in brackets, and no mark of its own.
func TestSVGConsequencesAreLighter(t *testing.T) {
	r := reporttest.Drawn(t, "house-faulty", job.Edits{}, nil)
	groups, places := groupFindings(r, OnRoofPlan, func(*review.Outcome) string { return "roof" })
	light := 0
	for i, g := range groups {
		if g.role != comesOf {
			if light > 0 {
				t.Errorf("flag %d at %s stands after what comes of others", i, places[i])
			}
			continue
		}
		light++
		var c svgCanvas
		g.flag(&c, svgPoint{})
		if s := c.String(); strings.Contains(s, "id=") || !strings.Contains(s, ">(") || strings.Contains(s, "bold") {
			t.Errorf("what comes of %v is drawn as a mark: %s", g.numbers, s)
		}
		for k, cause := range g.causes {
			if cause.Followers() == 0 || strconv.Itoa(cause.Number) != g.numbers[k] {
				t.Errorf("nothing comes of comment %d", cause.Number)
			}
		}
	}
	if light != 1 {
		t.Errorf("%d light flags at one place, want 1", light)
	}
}

func TestSVGIsDeterministic(t *testing.T) {
	for kind, write := range svgWriters {
		a := svgOf(t, write, reporttest.Drawn(t, "barn-faulty", job.Edits{}, nil), Options{})
		b := svgOf(t, write, reporttest.Drawn(t, "barn-faulty", job.Edits{}, nil), Options{})
		if !bytes.Equal(a, b) {
			t.Errorf("two %s drawings of one job differ", kind)
		}
	}
}

func TestSVGKeepsHostileNamesInside(t *testing.T) {
	const hostile = `</text><script>alert("1")</script>&amp;'` + "\n\x07\u202e|"
	r := reporttest.Drawn(t, "house-faulty", job.Edits{Set: map[string]any{
		"project.name": hostile, "project.address": hostile, "obstruction.bath fan.name": hostile, "overcurrent.B3.name": "B3" + hostile,
		"interconnection.overcurrent": "B3" + hostile, "circuit.combiner panel to service.overcurrent": "B3" + hostile,
	}}, nil)
	for kind, write := range svgWriters {
		svg := svgOf(t, write, r, Options{})
		checkSheet(t, svg, r, false)
		if bytes.ContainsAny(svg, "\x07\u202e") {
			t.Errorf("%s: a control character of the job is in the drawing", kind)
		}
		if title := parsed(t, svg)[1]; !strings.Contains(title.text, `<script>alert("1")</script>&amp;'`) {
			t.Errorf("%s: the name does not come out as it was written: %q", kind, title.text)
		}
	}
}

// A drawing with nothing on it says why.
func TestSVGSaysWhatIsMissing(t *testing.T) {
	for name, c := range map[string]struct {
		edits job.Edits
		want  []string
	}{
		"no outline": {job.Edits{Unset: []string{"plane.south.outline"}}, []string{"The roof cannot be drawn", "needs plane.south.outline"}},
		"no origin":  {job.Edits{Unset: []string{"array.south.origin"}}, []string{"Not drawn: array south: needs array.south.origin", "array north, 6 modules"}},
		"no framing": {job.Edits{Unset: []string{"plane.north.framing.spacing"}}, []string{"Not drawn: framing of plane north: needs plane.north.framing.spacing"}},
		"no feet":    {job.Edits{Unset: []string{"array.north.attachments.spacing"}}, []string{"Not drawn: attachments of array north: needs array.north.attachments.spacing"}},
		"no height":  {job.Edits{Unset: []string{"plane.north.eave_elevation"}}, []string{"Not drawn: wind zones of plane south: needs", "plane.north.eave_elevation"}},
	} {
		r := reporttest.Drawn(t, "house", c.edits, nil)
		svg := svgOf(t, RoofPlan, r, Options{})
		checkSheet(t, svg, r, false)
		var texts []string
		for _, x := range textsOf(t, parsed(t, svg)) {
			texts = append(texts, x.text)
		}
		for _, want := range c.want {
			if all := strings.Join(texts, " "); !strings.Contains(all, want) && !strings.Contains(strings.ReplaceAll(all, " ", ""), strings.ReplaceAll(want, " ", "")) {
				t.Errorf("%s: %q is not on the sheet", name, want)
			}
		}
	}
	r := reporttest.Drawn(t, "barn", job.Edits{Unset: []string{"interconnection.kind"}}, nil)
	svg := svgOf(t, OneLine, r, Options{})
	checkSheet(t, svg, r, false)
	if !bytes.Contains(svg, []byte("Where the system connects is not")) {
		t.Error("the open end of the one-line is not explained")
	}
}

// The drawing is to scale: the eave of 40 ft is as long as the scale says, and
// so is the scale bar.
func TestSVGIsToScale(t *testing.T) {
	svg := string(svgOf(t, RoofPlan, reporttest.Drawn(t, "house", job.Edits{}, steadyChecks), Options{}))
	scale := regexp.MustCompile(`1/4 in = 1 ft \(1:48\) on 11 x 17 in paper`)
	if !scale.MatchString(svg) {
		t.Fatal("the scale is not stated")
	}
	eave := regexp.MustCompile(`<path d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)" fill="none" stroke="` + inkLine + `" stroke-width="1.7"`).FindStringSubmatch(svg)
	if eave == nil {
		t.Fatal("no eave is drawn")
	}
	// 40 ft x 1/4 in = 10 in = 720 points
	if got := math.Abs(number(t, eave[3]) - number(t, eave[1])); math.Abs(got-720) > 0.05 {
		t.Errorf("the eave of 40 ft is %v points long, want 720", got)
	}
	bar := regexp.MustCompile(`<rect x="[\d.]+" y="[\d.]+" width="([\d.]+)" height="4"`).FindAllStringSubmatch(svg, -1)
	if len(bar) != 4 {
		t.Fatalf("the scale bar has %d parts", len(bar))
	}
	// 5 ft in four parts: 1.25 ft x 1/4 in = 22.5 points
	if got := number(t, bar[0][1]); math.Abs(got-22.5) > 0.05 {
		t.Errorf("a part of the scale bar is %v points long, want 22.5", got)
	}
}

// What a check asks to be kept clear comes from the review, whatever the rules
// say.
func TestSVGDrawsWhatChecksAskFor(t *testing.T) {
	faulty := string(svgOf(t, RoofPlan, reporttest.Drawn(t, "house-faulty", job.Edits{Set: map[string]any{"adoption.irc": "2021"}}, steadyChecks), Options{}))
	for _, want := range []string{"to be kept clear: 3 ft along the ridge", "strip to be kept clear", "widest way up", "modules bonded to one", "the same, without a lug"} {
		if !strings.Contains(faulty, want) {
			t.Errorf("%q is not on the sheet of the faulty house", want)
		}
	}
	barn := string(svgOf(t, RoofPlan, reporttest.Drawn(t, "barn", job.Edits{}, steadyChecks), Options{}))
	if strings.Contains(barn, "to be kept clear") {
		t.Error("the barn is no dwelling; no strip is asked for below its ridge by these checks")
	}
	blocked := reporttest.Drawn(t, "house", job.Edits{Set: map[string]any{"array.south.columns": 11, "array.south.origin": []any{"1 ft", "12 in"}, "array.north.columns": 11, "array.north.origin": []any{"1 ft", "24 in"}}}, steadyChecks)
	svg := string(svgOf(t, RoofPlan, blocked, Options{}))
	if !regexp.MustCompile(`>[\d/ a-z]+ of 3 ft<`).MatchString(svg) {
		t.Error("the gate that blocks the way has no dimension")
	}
}

// bigJob is one array of n modules on a flat roof.
func bigJob(t testing.TB, columns, rows int) *review.Review {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, `
[project]
name = "warehouse"
units = "SI"
[adoption]
ifc = "2021"
[building]
dwelling = false
[[plane]]
name = "deck"
outline = [["0 m", "0 m"], ["%[1]d m", "0 m"], ["%[1]d m", "%[2]d m"], ["0 m", "%[2]d m"]]
slope = "1 deg"
downslope = "180 deg"
[plane.covering]
kind = "membrane"
[plane.framing]
member = "deck"
runs = "up-slope"
spacing = "2 m"
offset = "1 m"
[[module_type]]
name = "M"
length = "1700 mm"
width = "1000 mm"
[[mounting_type]]
name = "rail"
kind = "rail"
bonding_listed = true
bonds_across = "rails"
[[array]]
name = "field"
plane = "deck"
module = "M"
mounting = "rail"
origin = ["3 m", "3 m"]
rows = %[3]d
columns = %[4]d
orientation = "landscape"
gap_x = "20 mm"
gap_y = "20 mm"
[array.attachments]
lines = [%[5]s]
spacing = "1.72 m"
first_offset = "0.5 m"
[[array.lug]]
row = 1
column = 1
listed = true
`, int(float64(columns)*1.72)+7, int(float64(rows)*1.02)+7, rows, columns, strings.Join(railLines(rows), ", "))
	j, err := job.Parse("big.toml", []byte(b.String()), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(j, reporttest.OwnRules(t), reporttest.OwnTables(t), review.Options{Only: []string{"structural/attachment-uplift"}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A one-line of many strings: like ones are drawn as one, unlike ones go on to
// further sheets, and the schedule names each.
func TestOneLineOfManyStrings(t *testing.T) {
	for name, modules := range map[string]func(i int) int{"alike": func(int) int { return 12 }, "all different": func(i int) int { return 4 + i }} {
		var b strings.Builder
		b.WriteString("[project]\nname = \"many\"\n[[inverter_type]]\nname = \"T\"\nkind = \"string\"\n[[inverter]]\nname = \"I\"\ntype = \"T\"\n")
		for i := range 20 {
			fmt.Fprintf(&b, "[[string]]\nname = \"S%d\"\nmodules = %d\ninverter = \"I\"\n[[circuit]]\nname = \"run %d\"\nkind = \"string\"\nstrings = [\"S%d\"]\nconductor = \"10 AWG\"\n", i, modules(i), i, i)
		}
		j, err := job.Parse("many.toml", []byte(b.String()), nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := review.Run(j, reporttest.OwnRules(t), reporttest.OwnTables(t), review.Options{})
		if err != nil {
			t.Fatal(err)
		}
		svg := svgOf(t, OneLine, r, Options{})
		checkSheet(t, svg, r, false)
		symbols := bytes.Count(svg, []byte(`width="24" height="16"`))
		if want := map[string]int{"alike": 1, "all different": 20}[name]; symbols != want {
			t.Errorf("%s: %d strings have a symbol, want %d", name, symbols, want)
		}
		for i := range 20 {
			if !bytes.Contains(svg, []byte(fmt.Sprintf(">S%d<", i))) {
				t.Errorf("%s: S%d is not in the schedule", name, i)
			}
		}
	}
}

func railLines(rows int) []string {
	var out []string
	for i := range rows {
		for _, at := range []float64{0.2, 0.8} {
			out = append(out, fmt.Sprintf("%q", SvgNumber(float64(i)*1.02+at)+" m"))
		}
	}
	return out
}

func TestSVGOfALargeArray(t *testing.T) {
	r := bigJob(t, 100, 100)
	svg := svgOf(t, RoofPlan, r, Options{Embedded: true})
	checkSheet(t, svg, r, true)
	if modules := bytes.Count(svg, []byte("Z")); modules < 10_000 {
		t.Errorf("%d outlines are drawn", modules)
	}
	// Each of 20000 feet cannot be determined; the mark of what is left out says so
	// once, and no foot has one of its own.
	if marks := bytes.Count(svg, []byte(`id="mark-`)); marks > len(r.Comments()) {
		t.Errorf("%d marks for %d comments", marks, len(r.Comments()))
	}
	small := svgOf(t, RoofPlan, bigJob(t, 54, 36), Options{})
	if len(small) > 1_500_000 {
		t.Errorf("1944 modules are drawn in %d bytes", len(small))
	}
}

func BenchmarkRoofPlanSVG(b *testing.B) {
	for name, r := range map[string]*review.Review{"house-faulty": reporttest.Drawn(b, "house-faulty", job.Edits{}, nil), "10000 modules": bigJob(b, 100, 100)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := RoofPlan(io.Discard, r, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkOneLineSVG(b *testing.B) {
	r := reporttest.Drawn(b, "barn-faulty", job.Edits{}, nil)
	for b.Loop() {
		if err := OneLine(io.Discard, r, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// rgb is a colour in linear light.
type rgb [3]float64

func colourOf(t *testing.T, hex string) rgb {
	t.Helper()
	v, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	if err != nil {
		t.Fatal(err)
	}
	var c rgb
	for i := range c {
		s := float64(v>>(16-8*i)&255) / 255
		if c[i] = s / 12.92; s > 0.04045 {
			c[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return c
}

// luminance and contrast as in Web Content Accessibility Guidelines 2.1, W3C
// 2018, definitions of relative luminance and contrast ratio.
func (c rgb) luminance() float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

func contrast(a, b rgb) float64 {
	x, y := a.luminance(), b.luminance()
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// Sight without one kind of cone: G. Machado, M. Oliveira and L. Fernandes, "A
// physiologically-based model for simulation of color vision deficiency", IEEE
// Transactions on Visualization and Computer Graphics 15(6), 2009, matrices for
// severity 1 (protanopia as found in published code, the others from memory).
var sights = map[string][3][3]float64{
	"full":         {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"grey":         {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

func (c rgb) seen(m [3][3]float64) rgb {
	var out rgb
	for i := range out {
		for k := range c {
			out[i] += m[i][k] * c[k]
		}
		out[i] = math.Min(1, math.Max(0, out[i]))
	}
	return out
}

func TestContrastFormula(t *testing.T) {
	if got := contrast(colourOf(t, "#000000"), colourOf(t, "#ffffff")); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white has a contrast of %v, want 21 (WCAG 2.1)", got)
	}
}

func TestSVGContrast(t *testing.T) {
	for sight, m := range sights {
		on := func(what, colour, ground string, least float64) {
			if got := contrast(colourOf(t, colour).seen(m), colourOf(t, ground).seen(m)); got < least {
				t.Errorf("%s, %s sight: %s on %s has a contrast of %.2f, want %v", what, sight, colour, ground, got, least)
			}
		}
		for _, c := range []string{inkText, inkSoft, inkBrick, inkAmber, inkSlate, inkGreen} {
			on("text", c, inkPaper, 4.5)
		}
		on("text on a filled flag", inkOnBrick, inkBrick, 4.5)
		for _, tint := range []string{inkZone2, inkZone3} {
			on("text on a wind zone", inkText, tint, 4.5)
			on("mark on a wind zone", inkBrick, tint, 3)
		}
		// Steps of the uplift scale are told apart by luminance alone.
		for i := 1; i < len(upliftSteps); i++ {
			on("step of the uplift scale", upliftSteps[i].fill, upliftSteps[i-1].fill, 1.6)
			if a, b := colourOf(t, upliftSteps[i].fill).seen(m), colourOf(t, upliftSteps[i-1].fill).seen(m); a.luminance() >= b.luminance() || upliftSteps[i].size <= upliftSteps[i-1].size {
				t.Errorf("%s sight: step %d of the uplift scale is not darker and larger than the one below", sight, i+1)
			}
		}
		on("text on a module", inkText, inkGlass, 4.5)
		for _, c := range []string{inkLine, inkThin, inkFrame, inkTimber, inkBrass, inkBrick, inkAmber, inkSlate, inkGreen, inkCopper} {
			on("mark", c, inkPaper, 3)
		}
		for _, c := range []string{inkText, inkTimber, inkCopper, inkBrick, inkFrame} {
			on("mark on a module", c, inkGlass, 3)
		}
	}
}

// In grey, what differs in colour differs in shape or line as well.
func TestSVGReadsWithoutColour(t *testing.T) {
	seen := map[string]string{}
	for _, s := range edgeStyles {
		if was, ok := seen[s.style]; ok {
			t.Errorf("%s is drawn like %s", s.kind, was)
		}
		seen[s.style] = s.kind
	}
	bare := regexp.MustCompile(`#[0-9a-f]{6}`)
	shapes := map[string]string{}
	for _, severity := range codebook.Severities {
		for _, result := range []review.Result{review.NotMet, review.Undetermined} {
			for _, role := range []svgRole{worstOf, furtherOf} {
				var c svgCanvas
				g := &svgFindings{role: role, severity: severity, result: result}
				g.shape(&c, svgPoint{}, 30, flagHeight)
				shape := bare.ReplaceAllString(c.String(), "")
				name := fmt.Sprintf("%s, %s, role %d", severity, result, role)
				if was, ok := shapes[shape]; ok {
					t.Errorf("the flag for %s looks like the one for %s", name, was)
				}
				shapes[shape] = name
			}
		}
	}
}

func TestSVGWrapAndClip(t *testing.T) {
	const width = 60.0
	for _, text := range []string{"", "word", "several words that have to be wrapped", strings.Repeat("x", 90), "大門大門大門大門大門大門大門"} {
		joined := ""
		for _, l := range svgWrap(text, sizeText, width, false) {
			if svgWidth(l, sizeText, false) > width {
				t.Errorf("%q is wider than the line", l)
			}
			joined += l
		}
		if bare := strings.ReplaceAll(text, " ", ""); strings.ReplaceAll(joined, " ", "") != bare {
			t.Errorf("wrapping loses text: %q of %q", joined, text)
		}
		if c := svgClip(text, sizeText, width, true); svgWidth(c, sizeText, true) > width {
			t.Errorf("%q is wider than it was cut to", c)
		}
	}
}

func TestSVGPlacer(t *testing.T) {
	p := newSVGPlacer(svgBox{0, 0, 200, 100})
	var boxes []svgBox
	for {
		b, ok := p.near(40, 9, svgPoint{100, 50}, p.area, false)
		if !ok {
			break
		}
		if !p.area.holds(b) {
			t.Fatalf("%+v is outside", b)
		}
		for _, o := range boxes {
			if o.meets(b) {
				t.Fatalf("%+v lies over %+v", b, o)
			}
		}
		boxes = append(boxes, b)
	}
	if len(boxes) < 15 {
		t.Errorf("only %d texts have found room", len(boxes))
	}
	if c := boxes[0].centre(); math.Hypot(c.x-100, c.y-50) > 1 {
		t.Errorf("the first text stands at %+v, not where it was wanted", c)
	}
	if !crossesBox(svgPoint{0, 0}, svgPoint{10, 10}, svgBox{4, 4, 6, 6}) || crossesBox(svgPoint{0, 0}, svgPoint{10, 0}, svgBox{4, 4, 6, 6}) || crossesBox(svgPoint{0, 0}, svgPoint{3, 3}, svgBox{4, 4, 6, 6}) {
		t.Error("lines through boxes are not told from lines past them")
	}
}

func TestSVGPaper(t *testing.T) {
	if s := svgPaper(quantity.SI); math.Abs(s.width/s.height-297.0/210) > 1e-4 || s.unitHeight(2) != "420mm" {
		t.Errorf("A4 is %v by %v points, two sheets are %s high", s.width, s.height, s.unitHeight(2))
	}
}
