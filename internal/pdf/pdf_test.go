package pdf

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/pdf/pdftest"
)

func made(t *testing.T, fill func(*Document)) []byte {
	t.Helper()
	d := New(Info{Title: "Trial", Footer: "Trial job", Plain: true})
	fill(d)
	out, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

const trialText = `# Letter

For **the authority** of A\*B, first
and second line.

- one ≥ ½ in at −14 °F
- two
  goes on

| no. | what | >response |
| --- | --- | --- |
| 1 | **Gap**<br>found 3\|4 in |  |

<small>in small print</small>
`

func TestMarkdown(t *testing.T) {
	blocks := Markdown(trialText)
	kinds := ""
	for _, b := range blocks {
		kinds += fmt.Sprint(int(b.Kind))
	}
	if want := fmt.Sprint(int(Heading), int(Paragraph), int(Item), int(Item), int(Table), int(Paragraph)); kinds != strings.ReplaceAll(want, " ", "") {
		t.Fatalf("kinds %s, expected %s", kinds, want)
	}
	if got := bare(blocks[1].Text); got != "For the authority of A*B, first and second line." {
		t.Errorf("paragraph %q", got)
	}
	if got := blocks[3].Text; got != "two goes on" {
		t.Errorf("item %q", got)
	}
	if got := blocks[4].Rows; len(got) != 1 || !slices.Equal(got[0], []string{"1", `**Gap**<br>found 3\|4 in`, ""}) {
		t.Errorf("rows %q", got)
	}
	if b := blocks[5]; !b.Small || b.Text != "in small print" {
		t.Errorf("small print %+v", b)
	}
	windows := Markdown(strings.ReplaceAll(trialText, "\n", "\r\n"))
	if fmt.Sprint(windows) != fmt.Sprint(blocks) {
		t.Error("Windows line ends give other blocks")
	}
}

func TestFlow(t *testing.T) {
	fill := func(d *Document) {
		d.Flow(Markdown(trialText), 0)
		if d.Pages() != 1 {
			t.Errorf("%d pages", d.Pages())
		}
	}
	doc := made(t, fill)
	if !bytes.Equal(doc, made(t, fill)) {
		t.Error("the same text gives other bytes")
	}
	text := strings.Join(pdftest.Shown(doc), "\n")
	for _, want := range []string{"Letter", "the authority", "one ≥ ½ in at −14 °F", "found 3|4 in", "in small print", "page 1 of 1", "Trial job"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
}

// A table of any length keeps its head on each page and loses no row; a row
// that is longer than a page is broken.
func TestLongTable(t *testing.T) {
	var b strings.Builder
	b.WriteString("| number | text |\n| --- | --- |\n")
	for i := range 150 {
		fmt.Fprintf(&b, "| n%d | row %d |\n", i, i)
	}
	fmt.Fprintf(&b, "| last | %sTHE END |\n", strings.Repeat("word ", 6000))
	pages := 0
	text := pdftest.Shown(made(t, func(d *Document) {
		d.Flow(Markdown(b.String()), 0)
		pages = d.Pages()
	}))
	heads := 0
	for _, s := range text {
		if strings.TrimSpace(s) == "number" {
			heads++
		}
	}
	if pages < 8 || heads != pages {
		t.Errorf("%d heads on %d pages", heads, pages)
	}
	all := strings.Join(text, "\n")
	for i := range 150 {
		if !slices.Contains(text, fmt.Sprintf("row %d", i)) {
			t.Errorf("row %d is lost", i)
		}
	}
	if n := strings.Count(all, "word"); n != 6000 || !strings.Contains(all, "THE END") {
		t.Errorf("%d words of 6000", n)
	}
}

// What the face does not have is seen to be missing, and nothing in a text
// stops the document.
func TestTextsOfAnyKind(t *testing.T) {
	for _, in := range []string{"", "\x00\x01", "(\\)", "漢字", "🔥", strings.Repeat("x", 5000), "\xff\xfe", "**", "|", "a\\"} {
		doc := made(t, func(d *Document) {
			d.Flow(Markdown("# "+in+"\n\n"+in+"\n\n- "+in+"\n\n| a | b |\n| --- | --- |\n| "+in+" | "+in+" |\n"), 0)
		})
		if !bytes.HasPrefix(doc, []byte("%PDF-")) {
			t.Errorf("%q: no document", in)
		}
	}
	if got := printable("漢 −14 °F ½″ ≥ 🔥"); got != "? −14 °F ½″ ≥ ?" {
		t.Errorf("%q", got)
	}
}

const trialSVG = `<svg xmlns="http://www.w3.org/2000/svg" width="11in" height="17in" viewBox="0 0 792 1224" role="img" font-family="sans-serif">
<title>t</title><defs><pattern id="h" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V7" stroke="#8a7434" stroke-width="0.9"/></pattern>
<clipPath id="c"><path d="M0 0L10 0L10 10Z" clip-rule="evenodd"/></clipPath></defs>
<rect x="0" y="0" width="792" height="612" fill="#fdfcf8"/><rect x="0" y="612" width="792" height="612" fill="#fdfcf8"/>
<a class="mark" href="#finding-1"><circle cx="10" cy="20" r="3" fill="#ffffff" stroke="#000000" stroke-dasharray="1 2"/></a>
<rect x="0" y="0" width="20" height="20" rx="4" fill="url(#h)"/>
<g clip-path="url(#c)"><path d="M0 0q1 2 3 4t2 2h4v-1Z" transform="matrix(1 0 0 1 5 5)" fill="none" stroke="#266b58" stroke-opacity="0.22"/></g>
<text x="100" y="100" font-size="7" fill="#1f2b33" text-anchor="end" stroke="#fdfcf8" stroke-width="3" paint-order="stroke">first sheet</text>
<text x="100" y="700" font-size="7" fill="#1f2b33" font-weight="bold" transform="rotate(-90 100 700)">second ½ &amp; °F</text>
</svg>`

func TestDrawing(t *testing.T) {
	fill := func(d *Document) {
		if err := d.Drawing("Roof plan", []byte(trialSVG)); err != nil {
			t.Fatal(err)
		}
		if d.Pages() != 2 {
			t.Errorf("%d pages for two sheets", d.Pages())
		}
	}
	doc := made(t, fill)
	if !bytes.Equal(doc, made(t, fill)) {
		t.Error("the same drawing gives other bytes")
	}
	text := pdftest.Shown(doc)
	for _, want := range []string{"first sheet", "second ½ & °F"} {
		if !slices.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
}

func TestDrawingRefusesWhatItDoesNotKnow(t *testing.T) {
	for from, to := range map[string]string{
		`<title>t</title>`:       `<image/>`,
		`rx="4"`:                 `ry="4"`,
		`M0 0q1 2 3 4`:           `M0 0A1 2 0 0 0 3 4`, // no circle
		`matrix(1 0 0 1 5 5)`:    `scale(2)`,
		`url(#h)`:                `url(#none)`,
		`#266b58`:                `green`,
		`viewBox="0 0 792 1224"`: `viewBox="0 0 792 1000"`,
		`cx="10"`:                `cx="ten"`,
		`</svg>`:                 ``,
	} {
		d := New(Info{})
		if err := d.Drawing("Roof plan", []byte(strings.Replace(trialSVG, from, to, 1))); err == nil {
			t.Errorf("%s in place of %s is not refused", to, from)
		}
	}
}

// The golden files of the drawings are set whole: an element that the drawings
// come to have and the reader does not know is found here.
func TestEveryDrawingIsSet(t *testing.T) {
	files, err := filepath.Glob("../drawing/testdata/golden/*.svg")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d drawings, %v", len(files), err)
	}
	for _, file := range files {
		svg, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := New(Info{}).Drawing(file, svg); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
}

// An arc lies on its circle, ends where it says, and goes the way that it says:
// by the picture in the SVG standard, sweep is clockwise with y down.
func TestArc(t *testing.T) {
	for _, c := range []struct {
		long, sweep bool
	}{{false, true}, {false, false}, {true, true}, {true, false}} {
		ops := arc(0, 0, 5*math.Sqrt2, c.long, c.sweep, 10, 0)
		last := ops[len(ops)-1].at
		if math.Hypot(last[4]-10, last[5]) > 1e-9 {
			t.Errorf("%v: ends at %v", c, last)
		}
		if up := bowsUp(ops); up != c.sweep {
			t.Errorf("long %v, sweep %v: bows up %v", c.long, c.sweep, up)
		}
		if n := map[bool]int{false: 1, true: 3}[c.long]; len(ops) != n {
			t.Errorf("long %v: %d quarters, expected %d", c.long, len(ops), n)
		}
	}
}

// bowsUp tells whether the middle of a path lies above its ends, at y below 0.
func bowsUp(ops []op) bool {
	sum := 0.0
	for _, o := range ops {
		sum += o.at[1] + o.at[3] + o.at[5]
	}
	return sum < 0
}

func TestReadPath(t *testing.T) {
	for in, want := range map[string]string{
		"M1 2L3 4Z":        "1 2 m 3 4 l h ",
		"M1 2h3v-1H0V9":    "1 2 m 4 2 l 4 1 l 0 1 l 0 9 l ",
		"M0 0L1 1M2 2L3 3": "0 0 m 1 1 l 2 2 m 3 3 l ",
		"M0 0Q3 3 6 0":     "0 0 m 2 2 4 2 6 0 c ",
		"m1 1 2 2":         "1 1 m 3 3 l ",
		"M0-.5L.5.5":       "0 -0.5 m 0.5 0.5 l ",
	} {
		path, err := readPath(in)
		if err != nil {
			t.Errorf("%s: %v", in, err)
			continue
		}
		if got := written(path, matrix{1, 0, 0, 1, 0, 0}); got != want {
			t.Errorf("%s gives %q, expected %q", in, got, want)
		}
	}
	for _, in := range []string{"1 2", "M1", "M1 x", "Mé", "M0 0ZZ1"} {
		if _, err := readPath(in); err == nil {
			t.Errorf("%q is read", in)
		}
	}
}
