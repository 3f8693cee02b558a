package job

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"plumbrule/internal/bound"
	"plumbrule/internal/source"
)

// tooLong finds lists and texts of a tree beyond their bounds. It comes before
// anything is made of them.
func tooLong(n *node, key string) source.Faults {
	var faults source.Faults
	if len(n.list) > bound.ListEntries {
		faults = append(faults, source.Fault{At: n.span(), Path: key, Message: fmt.Sprintf("%s: the list has %d entries, at most %d are read", shorten(key), len(n.list), bound.ListEntries)})
	}
	if text, ok := n.text(); ok && len(text) > bound.NameLength {
		most, what := bound.TextLength, "the text"
		if key == "name" || strings.HasSuffix(key, ".name") {
			most, what = bound.NameLength, "the name"
		}
		if length := utf8.RuneCountInString(text); length > most {
			faults = append(faults, source.Fault{At: n.span(), Path: key, Message: fmt.Sprintf("%s: %s has %d characters, at most %d are read", shorten(key), what, length, most)})
		}
	}
	for i, element := range n.list {
		faults = append(faults, tooLong(element, Join(key, strconv.Itoa(i+1)))...)
	}
	for k, child := range n.table {
		faults = append(faults, tooLong(child, Join(key, k))...)
	}
	return faults
}

// size refuses more than a review can hold, counted before anything of it is
// made: what patterns made of lists, modules, feet, corners, strings on an input.
func (b *binder) size() {
	b.manyEntries()
	b.manyCorners()
	b.manyModules()
	b.manyFeet()
	b.manyStrings()
}

// manyEntries bounds the lists that patterns made longer.
func (b *binder) manyEntries() {
	for _, l := range []struct {
		key   string
		count int
	}{{"string", len(b.job.Strings)}, {"label", len(b.job.Labels)}, {"document", len(b.job.Documents)}} {
		if l.count > bound.ListEntries {
			b.add(b.job.SectionAt(l.key), l.key, "", "%s: with what patterns stand for the list has %d entries, at most %d are read", l.key, l.count, bound.ListEntries)
		}
	}
}

func (b *binder) manyCorners() {
	total := 0
	one := func(o Points) {
		n := len(o.Value)
		if n > bound.Corners {
			b.add(o.At, o.Key, fmt.Sprintf("at most %d are read; points that lie on one line between others may go", bound.Corners), "%s: the outline has %d corners", o.Key, n)
		} else if total+n > bound.AllCorners && total <= bound.AllCorners {
			b.add(o.At, o.Key, "", "%s: with this outline the job has more than %d corners", o.Key, bound.AllCorners)
		}
		total += n
	}
	for i := range b.job.Planes {
		p := &b.job.Planes[i]
		one(p.Outline)
		for j := range p.Holes {
			one(p.Holes[j].Outline)
		}
	}
	for i := range b.job.Obstructions {
		one(b.job.Obstructions[i].Outline)
	}
}

// places is how many modules the grid of an array may have; 0 where that is left open.
func (a *Array) places() int {
	if !a.Rows.Known || !a.Columns.Known {
		return 0
	}
	return a.Rows.Value * a.Columns.Value
}

func (b *binder) manyModules() {
	total := 0
	for i := range b.job.Arrays {
		a := &b.job.Arrays[i]
		n := a.places()
		if total <= bound.Modules && total+n > bound.Modules && n <= bound.Modules { // else the array itself is refused
			b.add(a.Columns.At, a.Columns.Key, fmt.Sprintf("at most %d modules are read", bound.Modules), "%s: with this array the job has %d modules", a.Columns.Key, total+n)
		}
		total += n
	}
}

func (b *binder) manyFeet() {
	total := 0
	for i := range b.job.Arrays {
		a := &b.job.Arrays[i]
		n, from := b.feetOf(a)
		if total <= bound.Feet && total+n > bound.Feet {
			b.add(from.at, from.key, fmt.Sprintf("at most %d feet are read", bound.Feet), "%s: with the feet of array %q the job has %d", from.key, shorten(a.Name.Value), total+n)
		}
		total += n
	}
}

// statement is where the job says something.
type statement struct {
	key string
	at  source.Span
}

// feetOf is how many feet an array can have at most, and what says so.
func (b *binder) feetOf(a *Array) (int, statement) {
	t := &a.Attachments
	lines := len(t.Lines.Value)
	switch {
	case t.File.Known:
		return len(t.Points.Value), statement{t.File.Key, t.File.At}
	case t.PerLine.Known:
		return lines * t.PerLine.Value, statement{t.PerLine.Key, t.PerLine.At}
	}
	n := b.fit(a)
	return lines * n, statement{t.Spacing.Key, t.Spacing.At}
}

// fit is how many feet fit on a line of an array at their spacing; 0 where that
// is left open.
func (b *binder) fit(a *Array) int {
	module, known := b.job.ModuleOf(a)
	spacing := a.Attachments.Spacing
	if !known || !module.Length.Known || !spacing.Known || !a.Columns.Known || spacing.Value.SI <= 0 {
		return 0
	}
	across := module.Length.Value.SI
	if a.Orientation.Value == "portrait" && module.Width.Known {
		across = module.Width.Value.SI
	}
	return int(min(float64(a.Columns.Value)*(across+a.GapX.Value.SI)/spacing.Value.SI, bound.Feet)) + 1
}

// feetOnLine bounds the feet on one line.
func (b *binder) feetOnLine(a *Array) {
	if spacing := a.Attachments.Spacing; b.fit(a)-1 > bound.FeetOnLine {
		b.add(spacing.At, spacing.Key, fmt.Sprintf("at most %d are expected", bound.FeetOnLine), "%s: the spacing makes more than %d feet on a line", spacing.Key, bound.FeetOnLine)
	}
}

// manyStrings bounds the strings on each input, each of which is held against
// those beside it.
func (b *binder) manyStrings() {
	type input struct {
		inverter string
		number   int
	}
	on := map[input]int{}
	for i := range b.job.Strings {
		s := &b.job.Strings[i]
		if !s.Inverter.Known {
			continue
		}
		key := input{s.Inverter.Value, s.Input.Value}
		if on[key]++; on[key] == bound.StringsOnInput+1 {
			b.add(s.Inverter.At, s.Inverter.Key, fmt.Sprintf("at most %d are read", bound.StringsOnInput), "%s: more than %d strings come to one input of inverter %q", s.Inverter.Key, bound.StringsOnInput, shorten(key.inverter))
		}
	}
}
