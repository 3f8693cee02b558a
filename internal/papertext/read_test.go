package papertext

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"plumbrule/internal/bound"
	"plumbrule/internal/pdf"
	"plumbrule/internal/quantity"
)

// own is a PDF of the project's own writer, with embedded fonts of two-byte codes.
func own(t testing.TB, text string) []byte {
	t.Helper()
	d := pdf.New(pdf.Info{Title: "Sheets"})
	d.Flow(pdf.Markdown(text), 1)
	data, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// plainly makes a PDF of pages by hand, with no more than it needs.
func plainly(pages ...string) []byte {
	var b bytes.Buffer
	var at []int
	object := func(text string) {
		at = append(at, b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", len(at), text)
	}
	b.WriteString("%PDF-1.4\n")
	object("<< /Type /Catalog /Pages 2 0 R >>")
	var kids strings.Builder
	for i := range pages {
		fmt.Fprintf(&kids, "%d 0 R ", 4+2*i)
	}
	object(fmt.Sprintf("<< /Type /Pages /Kids [%s] /Count %d >>", kids.String(), len(pages)))
	object("<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>")
	for i, p := range pages {
		object(fmt.Sprintf("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 792 612] /Contents %d 0 R /Resources << /Font << /F1 3 0 R >> >> >>", 5+2*i))
		object(fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", len(p), p))
	}
	start := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(at)+1)
	for _, n := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", n)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(at)+1, start)
	return b.Bytes()
}

func read(data []byte) *Text { return within(bound.PaperTime, data) }

func find(t *testing.T, text *Text, value string, dim quantity.Dimension) []int {
	t.Helper()
	v, err := quantity.Parse(value, dim)
	if err != nil {
		t.Fatal(err)
	}
	return text.On(Quantity(v))
}

// Signs, fractions and primes come through the fonts that the project embeds.
func TestReadsTheProjectsOwnPDF(t *testing.T) {
	text := read(own(t, "# E-1\n\nRecord low −14 °F, design high 93 °F.\n\nLags 3/8″ at 48 in, string of 1,200 W, #12 AWG.\n\n"+strings.Repeat("Further words of a page.\n\n", 80)+"Snow 25 psf.\n"))
	if text.Why != "" || text.Blank() || len(text.Pages) < 2 {
		t.Fatalf("%q, %d pages", text.Why, len(text.Pages))
	}
	for value, dim := range map[string]quantity.Dimension{"-14 degF": quantity.Temperature, "93 degF": quantity.Temperature, "3/8 in": quantity.Length, "4 ft": quantity.Length, "1.2 kW": quantity.Power} {
		if on := find(t, text, value, dim); !slices.Equal(on, []int{1}) {
			t.Errorf("%s is found on pages %v", value, on)
		}
	}
	if on := find(t, text, "25 psf", quantity.Pressure); len(on) != 1 || on[0] != len(text.Pages) {
		t.Errorf("25 psf is found on pages %v of %d", on, len(text.Pages))
	}
	for value, dim := range map[string]quantity.Dimension{"14 degF": quantity.Temperature, "200 W": quantity.Power, "8 in": quantity.Length} {
		if on := find(t, text, value, dim); on != nil {
			t.Errorf("%s is found on pages %v", value, on)
		}
	}
	if s, _ := quantity.ParseSize("12 AWG"); !slices.Equal(text.On(Size(s)), []int{1}) {
		t.Error("#12 AWG is not found")
	}
}

// What stands apart is not one text: two columns, two lines, a raised sign. What is
// broken within a word is.
func TestPiecesThatBelongTogether(t *testing.T) {
	text := read(plainly(
		"BT /F1 10 Tf 1 0 0 1 40 500 Tm (1) Tj 1 0 0 1 300 500 Tm (20 A) Tj ET",    // columns
		"BT /F1 10 Tf 1 0 0 1 40 500 Tm [(2) -20 (0) 30 ( A)] TJ ET",               // kerned
		"BT /F1 10 Tf 1 0 0 1 40 500 Tm (2) Tj 1 0 0 1 45.56 500 Tm (0 A) Tj ET",   // two pieces without a gap
		"BT /F1 10 Tf 1 0 0 1 300 500 Tm (20) Tj 1 0 0 1 40 500 Tm (A) Tj ET",      // before the last
		"BT /F1 10 Tf 1 0 0 1 40 500 Tm (20) Tj 1 0 0 1 40 486 Tm (A) Tj ET",       // below
		"BT /F1 10 Tf 3 Tr 1 0 0 1 40 500 Tm (20 A) Tj ET",                         // unseen
		"q 0 1 -1 0 300 100 cm BT /F1 10 Tf 1 0 0 1 40 50 Tm (20) Tj ( A) Tj ET Q", // upright
		"BT /F1 10 Tf 0 1 -1 0 300 100 Tm (MAIN 20 A) Tj ET",                       // upright by its own matrix
		"BT /F1 10 Tf 1 0 0 1 40 500 Tm (1) Tj 1 0 0 1 45.56 500 Tm (20 A) Tj ET")) // the digits of 120
	if text.Why != "" || len(text.Pages) != 9 {
		t.Fatalf("%q, %d pages", text.Why, len(text.Pages))
	}
	if on := find(t, text, "20 A", quantity.Current); !slices.Equal(on, []int{1, 2, 3, 7, 8}) {
		t.Errorf("20 A is found on pages %v", on)
	}
	if on := find(t, text, "120 A", quantity.Current); !slices.Equal(on, []int{9}) {
		t.Errorf("120 A is found on pages %v", on)
	}
	for i, p := range text.Pages {
		if p.Blank() != (i == 5) {
			t.Errorf("page %d: blank is %v", i+1, p.Blank())
		}
	}
}

// A file that cannot be read says why, whatever is wrong with it.
func TestFilesThatCannotBeRead(t *testing.T) {
	good := plainly("BT /F1 10 Tf 1 0 0 1 40 500 Tm (20 A) Tj ET")
	deep := bytes.Replace(good, []byte("/MediaBox [0 0 792 612]"), []byte("/MediaBox "+strings.Repeat("[", 200000)), 1)
	for name, data := range map[string][]byte{
		"empty": {}, "no PDF": []byte("hello"), "head alone": []byte("%PDF-1.7\n"), "half": good[:len(good)/3], "deep": deep,
		"no pages": bytes.Replace(good, []byte("/Kids [4 0 R ] /Count 1"), []byte("/Kids [] /Count 0"), 1),
		"itself":   bytes.Replace(good, []byte("/Kids [4 0 R ]"), []byte("/Kids [2 0 R ]"), 1),
	} {
		begun := time.Now()
		if text := read(data); text.Why == "" && !text.Blank() {
			t.Errorf("%s: read as %d pages", name, len(text.Pages))
		} else if len(text.Pages) == 0 && text.Why == "" {
			t.Errorf("%s: nothing is said", name)
		}
		if took := time.Since(begun); took > 5*time.Second {
			t.Errorf("%s takes %v", name, took)
		}
	}
	if text := within(time.Nanosecond, own(t, strings.Repeat("Words.\n\n", 2000))); !strings.Contains(text.Why, "takes longer") {
		t.Errorf("the time is not bounded: %q", text.Why)
	}
	many := make([]string, bound.PaperPages+1)
	if text := read(plainly(many...)); len(text.Pages) != bound.PaperPages || !strings.Contains(text.Why, "301 pages") {
		t.Errorf("%d pages, %q", len(text.Pages), text.Why)
	}
}

// What was read is kept by its hash, and not more than is let.
func TestKeepsWhatItRead(t *testing.T) {
	data := plainly("BT /F1 10 Tf 1 0 0 1 40 500 Tm (20 A) Tj ET")
	if Read(data, "a") != Read(nil, "a") {
		t.Error("a paper is read again")
	}
	for i := range keep {
		Read(data, fmt.Sprint(i))
	}
	if text := Read(nil, "a"); text.Why == "" {
		t.Error("all papers are kept")
	}
}

// No file makes the program fall.
func FuzzRead(f *testing.F) {
	f.Add(plainly("BT /F1 10 Tf 1 0 0 1 40 500 Tm [(2) -20 (0 A)] TJ ET"))
	f.Add(own(f, "Record low −14 °F"))
	for _, name := range []string{"house-one-line", "strokes"} {
		data, err := os.ReadFile("../../testdata/jobs/papers/" + name + ".pdf")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		text := within(5*time.Second, data)
		if len(text.Pages) > bound.PaperPages || text.Why == "" && len(text.Pages) == 0 {
			t.Fatalf("%d pages, %q", len(text.Pages), text.Why)
		}
	})
}
