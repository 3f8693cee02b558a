// Package pdf sets papers and drawings as PDF: flowing text with tables, and
// the project's own SVG drawings as vectors at their size. The same input gives
// the same bytes. It knows nothing of reviews.
package pdf

import (
	"bytes"
	"fmt"
	"strings"
	"sync"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/sfnt"
)

// Info is what a document says of itself and of its paper.
type Info struct {
	Title  string // of the document, for the reader's window
	Footer string // on the left of the foot of each page of text
	Metric bool   // A4, not US letter
	Plain  bool   // streams are not compressed, so that a test can read them
}

// Document is a PDF in the making.
type Document struct {
	out   *fpdf.Fpdf
	info  Info
	drawn map[int]bool // pages that hold a drawing
	depth int          // level that bookmarks may have next: a level is never skipped
}

// The embedded face, metric-compatible with the usual sans-serif.
const face = "sans"

// stamp stands in every document: a date of the clock would make its bytes
// differ from run to run.
var stamp = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// New starts a document without pages.
func New(info Info) *Document {
	size := fpdf.SizeType{Wd: 612, Ht: 792}
	if info.Metric {
		size = fpdf.SizeType{Wd: 595.28, Ht: 841.89}
	}
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "pt", Size: size})
	f.SetCatalogSort(true)
	f.SetCreationDate(stamp)
	f.SetModificationDate(stamp)
	f.SetCompression(!info.Plain)
	f.SetAutoPageBreak(false, 0)
	f.SetTitle(printable(info.Title), true)
	f.SetProducer("plumbrule", true)
	f.AddUTF8FontFromBytes(face, "", liberationsansregular.TTF)
	f.AddUTF8FontFromBytes(face, "B", liberationsansbold.TTF)
	return &Document{out: f, info: info, drawn: map[int]bool{}}
}

// Pages is how many pages there are so far.
func (d *Document) Pages() int { return d.out.PageCount() }

// Bytes finishes the document: "page 3 of 9" is written, now that the number of
// pages is known.
func (d *Document) Bytes() ([]byte, error) {
	d.foot()
	var b bytes.Buffer
	if err := d.out.Output(&b); err != nil {
		return nil, fmt.Errorf("pdf: %w", err)
	}
	return b.Bytes(), nil
}

const footSize = 7.5

func (d *Document) foot() {
	n := d.out.PageCount()
	for i := 1; i <= n; i++ {
		d.out.SetPage(i)
		w, h, _ := d.out.PageSize(i)
		text := fmt.Sprintf("page %d of %d", i, n)
		d.out.SetTextColor(77, 90, 99)
		d.font(false, footSize)
		wide := d.out.GetStringWidth(text)
		if d.drawn[i] { // its border takes the page
			d.out.Text(w-marginSide/2-wide, h-6, text)
			continue
		}
		d.out.Text(w-marginSide-wide, h-marginFoot/2, text)
		d.out.Text(marginSide, h-marginFoot/2, d.fit(d.info.Footer, w-2*marginSide-wide-20))
	}
}

// fit cuts a text that is wider than there is room.
func (d *Document) fit(s string, width float64) string {
	s = printable(s)
	if d.out.GetStringWidth(s) <= width {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && d.out.GetStringWidth(string(runes)+"...") > width {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "..."
}

// font selects the face. It is written anew each time, as a page that is
// taken up again does not know what the last one had.
func (d *Document) font(bold bool, size float64) {
	style := ""
	if bold {
		style = "B"
	}
	d.out.SetFont(face, style, size+1) // the writer leaves out a font that it thinks is set
	d.out.SetFont(face, style, size)
}

// bookmark puts an entry into the outline, to a height of the page.
func (d *Document) bookmark(text string, level int, y float64) {
	level = min(level, d.depth)
	d.depth = level + 1
	d.out.Bookmark(printable(text), level, y)
}

// glyphs finds the signs that the face has.
var glyphs = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(liberationsansregular.TTF)
	if err != nil {
		panic(err) // the font is embedded
	}
	return f
})

// printable is a text in the signs that the face has; another one becomes "?",
// so that it is seen to be missing.
func printable(s string) string {
	var b *sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if r >= ' ' && r <= '~' {
			return r
		}
		if r == '\u00ad' {
			return -1
		}
		if b == nil {
			b = &sfnt.Buffer{}
		}
		if i, err := glyphs().GlyphIndex(b, r); err != nil || i == 0 || r > 0xFFFF || r < ' ' {
			return '?'
		}
		return r
	}, s)
}
