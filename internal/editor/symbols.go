package editor

import (
	"plumbrule/internal/wording"
)

// symbols lists the tables of a file with their names, those of a thing below it.
// A client that shows no outline gets them one after the other.
func symbols(w *Workspace, d *Document, _ InDocument) (any, error) {
	nested := outlineOf(d)
	if w.Client.TextDocument.DocumentSymbol.Hierarchical {
		return nested, nil
	}
	return flat(d, nested, ""), nil
}

// flat lists symbols one after the other, each with what it is in.
func flat(d *Document, list []DocumentSymbol, in string) []SymbolInformation {
	out := []SymbolInformation{}
	for _, s := range list {
		out = append(out, SymbolInformation{s.Name, s.Kind, Location{d.URI, s.Range}, in})
		out = append(out, flat(d, s.Children, s.Name)...)
	}
	return out
}

func outlineOf(d *Document) []DocumentSymbol {
	o := newOutline(d.File)
	var top []*symbol
	of := map[*node]*symbol{}
	for _, h := range o.headers {
		n := h.opens
		if n.isRoot() || of[n] != nil {
			continue
		}
		s := &symbol{DocumentSymbol: DocumentSymbol{
			Name: n.key, Kind: SymbolObject, Range: d.Range(o.span(h.at.Start, h.said)), SelectionRange: d.Range(h.at),
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
	return plainSymbols(top)
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
