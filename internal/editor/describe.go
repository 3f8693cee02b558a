package editor

import (
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/wording"
)

// holds says in a line what a key may hold.
func holds(f *job.Field, sys quantity.System) string {
	switch {
	case f.Kind == job.KindTable:
		return "table"
	case f.Kind == job.KindTables:
		return "rows of a table"
	case len(f.Choice) > 0:
		return "one of " + strings.Join(f.Choice, ", ")
	case len(f.AnyOf) > 0:
		return "the name of one of these: " + strings.ReplaceAll(strings.Join(f.AnyOf, ", "), "_", " ")
	case f.Ref != "" && f.Kind == job.KindTexts:
		return "a list of names, each of one " + strings.ReplaceAll(f.Ref, "_", " ")
	case f.Ref != "":
		return "the name of one " + strings.ReplaceAll(f.Ref, "_", " ")
	case f.Kind == job.KindFlag:
		return "true or false"
	}
	text := f.Type()
	if example := f.Example(sys, nil); example != `"..."` && example != `["..."]` {
		text += ", such as " + example
	}
	return text
}

// describeField tells in Markdown what a key means, what it may hold, and what
// leaving it out says.
func describeField(f *job.Field, sys quantity.System) string {
	var b strings.Builder
	b.WriteString(wording.Sentence(wording.Markdown(f.Doc)))
	b.WriteString("\n\nHolds: " + wording.Markdown(holds(f, sys)))
	if units := quantity.Units(f.Dim); len(units) > 0 && (f.Kind == job.KindQuantity || f.Kind == job.KindQuantities) {
		b.WriteString("  \nUnits: " + wording.Markdown(strings.Join(units, ", ")))
	}
	if says := f.LeftOut(); says != "" {
		b.WriteString("  \nLeft out: " + wording.Markdown(says))
	}
	return b.String()
}
