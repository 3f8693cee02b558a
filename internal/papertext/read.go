// Package papertext reads the text of a paper that was handed in as PDF, page by
// page, and finds values in it however a sheet may write them. It knows no job.
//
// A file of a stranger is read within the bounds of package bound, and whatever
// is wrong with it becomes the reason why it could not be read.
package papertext

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"time"
	"unicode"

	"github.com/carlos7ags/folio/reader"

	"plumbrule/internal/bound"
)

// Text is the text of a PDF.
type Text struct {
	Pages []Page // those that were read, from the first
	Of    int    // how many the file has
	Why   string // the text is not whole; "" where it is
}

// Page is the text of one page, in pieces that stand together on a line.
type Page struct {
	lines []string
}

// Blank reports whether the page has no letter or digit as text: an empty one, a
// picture, or one whose letters are drawn as strokes.
func (p Page) Blank() bool {
	for _, l := range p.lines {
		if strings.ContainsFunc(l, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) {
			return false
		}
	}
	return true
}

// Blank reports whether no page has any text.
func (t *Text) Blank() bool {
	for _, p := range t.Pages {
		if !p.Blank() {
			return false
		}
	}
	return true
}

// kept holds what was read last, since an editor reviews a job at every key.
var kept struct {
	sync.Mutex
	sums  []string
	texts map[string]*Text
}

const keep = 32 // papers

// Read reads the text of a PDF. sum tells files apart.
func Read(data []byte, sum string) *Text {
	kept.Lock()
	t := kept.texts[sum]
	kept.Unlock()
	if t != nil {
		return t
	}
	t = within(bound.PaperTime, data)
	kept.Lock()
	defer kept.Unlock()
	if kept.texts == nil {
		kept.texts = map[string]*Text{}
	}
	if kept.texts[sum] == nil {
		kept.sums = append(kept.sums, sum)
	}
	kept.texts[sum] = t
	if len(kept.sums) > keep {
		delete(kept.texts, kept.sums[0])
		kept.sums = kept.sums[1:]
	}
	return t
}

// errTime says that a file takes too long.
var errTime = errors.New("reading it takes longer than " + bound.PaperTime.String())

// within reads pages until the time is over. A page that never ends is left
// behind; it ends with the program.
func within(limit time.Duration, data []byte) *Text {
	type step struct {
		of   int
		page *Page
		err  error
	}
	steps, stop := make(chan step), make(chan struct{})
	defer close(stop)
	give := func(s step) bool {
		select {
		case steps <- s:
			return true
		case <-stop:
			return false
		}
	}
	go func() {
		defer func() {
			if p := recover(); p != nil {
				give(step{err: fmt.Errorf("the file is damaged: %.100v", p)})
			}
		}()
		doc, err := open(data)
		if err != nil {
			give(step{err: err})
			return
		}
		n := doc.PageCount()
		if !give(step{of: n}) {
			return
		}
		for i := range min(n, bound.PaperPages) {
			p, err := pageOf(doc, i)
			if !give(step{page: p, err: err}) {
				return
			}
		}
		give(step{})
	}()
	t, size, timer := &Text{}, 0, time.NewTimer(limit)
	defer timer.Stop()
	for {
		select {
		case <-timer.C:
			t.Why = errTime.Error()
			return t
		case s := <-steps:
			switch {
			case s.of > 0:
				t.Of = s.of
			case s.err != nil && s.page == nil:
				t.Why = s.err.Error()
				return t
			case s.page == nil: // the last was read
				switch {
				case t.Of == 0:
					t.Why = "it has no pages"
				case t.Of > bound.PaperPages && t.Why == "":
					t.Why = fmt.Sprintf("only the first %d of its %d pages are looked through", bound.PaperPages, t.Of)
				}
				return t
			default:
				if s.err != nil && t.Why == "" {
					t.Why = fmt.Sprintf("page %d: %v", len(t.Pages)+1, s.err)
				}
				for _, l := range s.page.lines {
					size += len(l)
				}
				if size > bound.PaperText {
					t.Why = fmt.Sprintf("it has more than %d MiB of text", bound.PaperText>>20)
					return t
				}
				t.Pages = append(t.Pages, *s.page)
			}
		}
	}
}

func open(data []byte) (*reader.PdfReader, error) {
	doc, err := reader.ParseWithOptions(data, reader.ReadOptions{MemoryLimits: reader.MemoryLimits{
		MaxStreamSize: 64 << 20, MaxTotalAlloc: 512 << 20, MaxXrefSize: 16 << 20, MaxObjectCount: 500_000}})
	switch {
	case errors.Is(err, reader.ErrInvalidPassword):
		return nil, errors.New("it opens with a password only")
	case errors.Is(err, reader.ErrMemoryLimitExceeded):
		return nil, errors.New("what it holds is larger than what is read")
	case err != nil:
		return nil, fmt.Errorf("it cannot be read as PDF: %.120s", strings.TrimPrefix(err.Error(), "reader: "))
	}
	return doc, nil
}

// pageOf reads one page. Where that fails the page has no text, and the error says
// why.
func pageOf(doc *reader.PdfReader, i int) (p *Page, err error) {
	p = &Page{}
	defer func() {
		if x := recover(); x != nil {
			err = fmt.Errorf("the page is damaged: %.100v", x)
		}
	}()
	page, err := doc.Page(i)
	if err != nil {
		return p, fmt.Errorf("%.120s", strings.TrimPrefix(err.Error(), "reader: "))
	}
	spans, err := page.TextSpans()
	if err != nil {
		err = fmt.Errorf("%.120s", strings.TrimPrefix(err.Error(), "reader: "))
	}
	p.lines = lines(spans)
	return p, err
}

// lines puts the pieces together that go on from one another on a line. Writers
// of PDF break words at every change of spacing; a piece that stands apart, lower
// or before the last is another text, so that two columns never make one number.
func lines(spans []reader.TextSpan) []string {
	var out []string
	var b strings.Builder
	end := func() {
		if l := plain(b.String()); l != "" {
			out = append(out, l)
		}
		b.Reset()
	}
	var last reader.TextSpan
	for i, s := range spans {
		if !s.Visible || s.Text == "" {
			continue // what nobody sees, such as a guess at what a scan says
		}
		if i > 0 && b.Len() > 0 {
			along, across := offset(last, s)
			h := math.Max(last.Height, s.Height)
			if h <= 0 {
				h = 12
			}
			space := h * 0.12
			if s.SpaceWidth > 0 {
				space = s.SpaceWidth * 0.4
			}
			switch {
			case math.IsNaN(along) || math.Abs(across) > 0.35*h || along < -0.35*h || along > 2*h || !parallel(last, s):
				end()
			case along > space:
				b.WriteByte(' ')
			}
		}
		b.WriteString(s.Text)
		last = s
	}
	end()
	return out
}

// direction is the unit vector along which a piece is written.
func direction(s reader.TextSpan) (x, y float64) {
	x, y = s.Matrix[0], s.Matrix[1]
	n := math.Hypot(x, y)
	if n == 0 {
		return 1, 0
	}
	return x / n, y / n
}

func parallel(a, b reader.TextSpan) bool {
	ax, ay := direction(a)
	bx, by := direction(b)
	return ax*bx+ay*by > 0.99
}

// offset is how far a piece begins from the end of the last, along its line and
// across it.
func offset(last, s reader.TextSpan) (along, across float64) {
	x, y := direction(last)
	dx, dy := s.X-last.X, s.Y-last.Y
	return dx*x + dy*y - last.Width, dy*x - dx*y
}
