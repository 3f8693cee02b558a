package editor

import (
	"bytes"

	"plumbrule/internal/source"
)

// folding lists what may be folded: the tables that a header opens, values and
// comments over several lines.
func folding(_ *Workspace, d *Document, _ InDocument) ([]FoldingRange, error) {
	o := newOutline(d.File)
	out := []FoldingRange{}
	put := func(start, end int, kind string) {
		from, to := d.lines.Position(start).Line, d.lines.Position(end).Line
		if to > from {
			out = append(out, FoldingRange{from, to, kind})
		}
	}
	for _, h := range o.headers {
		put(h.at.Start, h.said, "")
	}
	for _, p := range o.pairs {
		put(p.at.Start, p.at.End, "")
	}
	for i := 0; i < len(o.comments); {
		first := i
		for i++; i < len(o.comments) && o.follows(o.comments[i-1], o.comments[i]); i++ {
		}
		if o.spaces(o.lineStart(o.comments[first].Start)) == o.comments[first].Start {
			put(o.comments[first].Start, o.comments[i-1].End, FoldComment)
		}
	}
	return out, nil
}

// follows reports whether a comment is alone in the line below another.
func (o *outline) follows(above, below source.Span) bool {
	between := o.file.Text[above.End:below.Start]
	return len(bytes.TrimSpace(between)) == 0 && bytes.Count(between, []byte("\n")) == 1
}

// highlights lists where a file names the thing that a place names.
func highlights(w *Workspace, d *Document, p AtPosition) ([]DocumentHighlight, error) {
	out := []DocumentHighlight{}
	files := family(w, d)
	t, _, err := thingAt(d, files, p.Position)
	if err != nil {
		return out, nil // no thing: none of it is named anywhere
	}
	for _, m := range files[0].mentions(t.named, t.counted) {
		kind := HighlightRead
		if m.gives {
			kind = HighlightWrite
		}
		out = append(out, DocumentHighlight{d.Range(m.at), kind})
	}
	return out, nil
}
