package editor

import (
	"plumbrule/internal/wording"
)

// symbols lists the tables of a file with their names, those of a thing below it.
func symbols(_ *Workspace, d *Document, _ InDocument) ([]DocumentSymbol, error) {
	o := newOutline(d.File)
	var top []*symbol
	of := map[*node]*symbol{}
	for _, h := range o.headers {
		n := h.opens
		if n.isRoot() || of[n] != nil {
			continue
		}
		end := o.contentEnd(h)
		s := &symbol{DocumentSymbol: DocumentSymbol{
			Name: n.key, Kind: SymbolObject, Range: d.Range(o.span(h.at.Start, end)), SelectionRange: d.Range(h.at),
		}}
		if name := n.name(); name != "" && n.number > 0 {
			s.Name, s.Detail = wording.Plain(name), n.key
		} else if n.number > 0 {
			s.Detail = n.label()
		}
		if n.number > 0 {
			s.Kind = SymbolArray
		}
		of[n] = s
		if owner := of[n.opener()]; owner != nil {
			owner.below = append(owner.below, s)
			owner.stretch(s.Range)
		} else {
			top = append(top, s)
		}
	}
	return plainSymbols(top), nil
}

// symbol is a table while what stands below it is gathered.
type symbol struct {
	DocumentSymbol
	below []*symbol
}

// stretch makes the range of a table hold that of one below it.
func (s *symbol) stretch(to Range) {
	if end := to.End; end.Line > s.Range.End.Line {
		s.Range.End = end
	}
}

func plainSymbols(list []*symbol) []DocumentSymbol {
	out := []DocumentSymbol{}
	for _, s := range list {
		if len(s.below) > 0 {
			s.Children = plainSymbols(s.below)
		}
		out = append(out, s.DocumentSymbol)
	}
	return out
}

// opener is the nearest table around one that a header opens; nil for none.
func (n *node) opener() *node {
	for n = n.parent; n != nil; n = n.parent {
		if n.header != nil {
			return n
		}
	}
	return nil
}

// label tells entries without a name apart, by the first thing that they say.
func (n *node) label() string {
	for _, key := range []string{"kind", "check", "zone", "document"} {
		if text, v := n.text(key); v != nil {
			return wording.Plain(text)
		}
	}
	return ""
}

// contentEnd is where the lines of a table end that say something: before the
// empty lines and the words that stand above the next header.
func (o *outline) contentEnd(h *header) int {
	end := h.at.End
	for _, p := range o.pairs {
		if p.at.Start >= h.at.Start && p.at.End <= h.end {
			end = max(end, p.at.End)
		}
	}
	return end
}
