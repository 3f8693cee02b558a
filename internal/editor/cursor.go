package editor

import (
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// spot is what stands at a place of a text.
type spot uint8

const (
	onEmpty   spot = iota // where a key of the table could begin
	inComment             // of words
	inHeader              // in the brackets that open a table
	atKey                 // in a key
	inValue               // behind an equals sign
	beyond                // behind something complete, where nothing of its own can stand
)

// cursor is where a place of a text is.
type cursor struct {
	spot   spot
	offset int
	table  *node   // the table whose lines, or whose braces, hold the place; of a header the one it opens
	header *header // inHeader
	pair   *pair   // atKey and inValue
	word   int     // atKey and inHeader: which part of the key
	value  *value  // inValue: the innermost value there; nil where none is typed
	path   []int   // inValue: which element of each list, from 0
}

// cursorAt tells where a place is. The end of a word or value counts to it.
func (o *outline) cursorAt(offset int) cursor {
	offset = min(max(offset, 0), len(o.file.Text))
	c := cursor{offset: offset, table: o.root}
	for _, h := range o.headers {
		if h.at.Start > offset {
			break
		}
		c.table = h.opens
	}
	for _, at := range o.comments {
		if at.Start < offset && offset <= at.End {
			c.spot = inComment
			return c
		}
	}
	for _, h := range o.headers {
		if h.at.Start < offset && offset <= h.at.End {
			if offset == h.at.End && h.closed(o) {
				c.spot, c.header = beyond, h
				return c
			}
			c.spot, c.header, c.word = inHeader, h, wordAt(h.words, offset)
			return c
		}
	}
	if p := o.pairAt(offset); p != nil {
		o.inPair(&c, p)
		return c
	}
	if start := o.lineStart(offset); o.spaces(start) < offset {
		c.spot = beyond
	}
	return c
}

// closed reports whether the last bracket of a header is typed.
func (h *header) closed(o *outline) bool {
	return h.at.End > h.at.Start && o.file.Text[h.at.End-1] == ']'
}

// pairAt is the innermost pair at a place, what follows an equals sign on its
// line included; nil for none.
func (o *outline) pairAt(offset int) *pair {
	var found *pair
	for _, p := range o.pairs {
		end := p.at.End
		if p.value == nil && p.equals >= 0 {
			end = max(end, o.spaces(p.equals+1))
		}
		if p.at.Start <= offset && offset <= end && (found == nil || p.at.Start >= found.at.Start) {
			found = p
		}
	}
	return found
}

// inPair tells where in a pair a place is.
func (o *outline) inPair(c *cursor, p *pair) {
	c.pair, c.table = p, p.owner
	if p.equals < 0 || c.offset <= p.equals {
		c.spot, c.word = atKey, wordAt(p.words, c.offset)
		if c.word < 0 { // between the key and the equals sign
			c.spot, c.word = beyond, 0
		}
		return
	}
	c.spot = inValue
	if p.value == nil || c.offset < p.value.at.Start {
		return
	}
	c.value = p.value
	for c.value.kind == list {
		i := slices.IndexFunc(c.value.elements, func(e *value) bool { return e.at.Start <= c.offset && c.offset <= e.at.End })
		if i < 0 {
			if c.offset == c.value.at.End && c.value.closed || c.offset == c.value.at.Start {
				c.spot = beyond
				return
			}
			c.path = append(c.path, before(c.value.elements, c.offset))
			c.value = nil
			return
		}
		c.path = append(c.path, i)
		c.value = c.value.elements[i]
	}
	if c.value.kind == inline {
		if c.offset == c.value.at.End && c.value.closed || c.offset == c.value.at.Start {
			c.spot = beyond
			return
		}
		c.spot, c.table, c.value = onEmpty, p.node, nil
		if n := len(c.path); n > 0 && n <= 1 && c.path[0] < len(p.node.entries) {
			c.table = p.node.entries[c.path[0]]
		}
	}
}

// before counts the elements that stand before a place.
func before(elements []*value, offset int) int {
	n := 0
	for _, e := range elements {
		if e.at.End <= offset {
			n++
		}
	}
	return n
}

// wordAt is the part of a key at a place, its end included; -1 for none. Where
// two words meet at the place it is the first.
func wordAt(words []word, offset int) int {
	return slices.IndexFunc(words, func(w word) bool { return w.at.Start <= offset && offset <= w.at.End })
}

// node is what the place is about: the key, the table that a header opens; nil
// for nothing.
func (c cursor) node() *node {
	switch {
	case c.spot == atKey && c.word < len(c.pair.words):
		return c.pair.words[c.word].node
	case c.spot == inValue:
		return c.pair.node
	case c.spot == inHeader && c.word >= 0 && c.word < len(c.header.words):
		return c.header.words[c.word].node
	}
	return nil
}

// field is what the model says of the value at the place; false where the model
// has no such key.
func (c cursor) field() (*job.Field, bool) {
	n := c.node()
	if n == nil || n.field == nil {
		return nil, false
	}
	return n.field, true
}

// at is the word or value at the place, else the place itself.
func (c cursor) at(o *outline) source.Span {
	switch {
	case c.spot == atKey:
		return c.pair.words[c.word].at
	case c.spot == inHeader && c.word >= 0:
		return c.header.words[c.word].at
	case c.spot == inValue && c.value != nil:
		return c.value.at
	}
	return o.span(c.offset, c.offset)
}
