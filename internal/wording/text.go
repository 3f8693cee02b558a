package wording

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// Each gives the list of what f makes of a list; empty, not null, for none.
func Each[T, U any](list []T, f func(T) U) []U {
	out := make([]U, len(list))
	for i, x := range list {
		out[i] = f(x)
	}
	return out
}

// Same is for Each where a list is only copied.
func Same(s string) string { return s }

// KeysOf lists the keys that an outcome waits for, each once.
func KeysOf(o *review.Outcome) []string {
	out := []string{}
	for _, n := range o.Needs {
		for _, key := range n.Keys {
			if !slices.Contains(out, key) {
				out = append(out, key)
			}
		}
	}
	return out
}

// NeedsOf puts each need of an outcome in words: a key, or several with "or".
func NeedsOf(o *review.Outcome) []string { return Each(o.Needs, review.Need.String) }

// Open says what an undetermined outcome lacks, in one line: the keys that are
// missing, then other reasons; "" for one that is determined.
func Open(o *review.Outcome) string {
	var parts []string
	if len(o.Needs) > 0 {
		parts = append(parts, "missing "+strings.Join(NeedsOf(o), ", "))
	}
	return strings.Join(append(parts, Each(o.Reasons, FirstLine)...), "; ")
}

// EditionNames lists the editions that a job adopts, as the trade names them,
// and those that an adopted code settles where an outcome rests on them.
func EditionNames(r *review.Review) []string {
	names := Each(r.Job.Adoption.Editions(), job.Edition.String)
	stated := map[string]bool{}
	for _, e := range r.Job.Adoption.Editions() {
		stated[e.Code.Name] = true
	}
	for _, c := range job.Codes {
		if edition := r.Adopted[c.Name]; edition != "" && !stated[c.Name] && r.Cited(c.Name) {
			names = append(names, job.EditionName(c.Name, edition)+" (by reference)")
		}
	}
	return names
}

// Spaces is that many spaces, none for a negative number.
func Spaces(n int) string { return strings.Repeat(" ", max(n, 0)) }

// Plain makes text from a job safe to print: characters that steer a terminal
// or turn the direction of writing are shown as "?".
func Plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			return '?'
		}
		return r
	}, s)
}

// Columns is the width of text on a terminal.
func Columns(s string) int {
	n := 0
	for _, r := range s {
		n += RuneColumns(r)
	}
	return n
}

// RuneColumns is the width of a character: none for marks that sit on the one
// before, two for the wide scripts and pictures, else one (the wide ranges of
// Unicode Standard Annex 11, East Asian Width, simplified to whole blocks).
func RuneColumns(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r < 0x1100:
		return 1
	case r <= 0x115F,
		r >= 0x2E80 && r <= 0x303E, r >= 0x3041 && r <= 0x33FF, r >= 0x3400 && r <= 0x4DBF, r >= 0x4E00 && r <= 0xA4CF,
		r >= 0xA960 && r <= 0xA97F, r >= 0xAC00 && r <= 0xD7A3, r >= 0xF900 && r <= 0xFAFF, r >= 0xFE30 && r <= 0xFE6F,
		r >= 0xFF01 && r <= 0xFF60, r >= 0xFFE0 && r <= 0xFFE6,
		r >= 0x1F300 && r <= 0x1F64F, r >= 0x1F680 && r <= 0x1F6FF, r >= 0x1F900 && r <= 0x1F9FF, r >= 0x20000 && r <= 0x3FFFD:
		return 2
	}
	return 1
}

// Sentence ends a text with a full stop and begins it with a capital, as the
// standard asks of messages.
func Sentence(text string) string {
	text = strings.TrimSpace(text)
	if text == "" {
		return text
	}
	first, width := utf8.DecodeRuneInString(text)
	text = string(unicode.ToUpper(first)) + text[width:]
	if !strings.ContainsAny(text[len(text)-1:], ".!?") {
		text += "."
	}
	return text
}

// markdownSigns are the characters that Markdown, or HTML inside it, could
// take for more than themselves in the middle of a line.
const markdownSigns = "\\`*_[]<>#|~&!$"

// Markdown makes a text of the job safe inside a line of Markdown: it
// shows as it is written, whatever stands in it, and stays on its line.
func Markdown(s string) string {
	s = strings.Join(strings.Fields(Plain(s)), " ")
	var b strings.Builder
	for i, r := range s {
		// "://" and "www." would be made into links without being asked.
		link := r == ':' && strings.HasPrefix(s[i:], "://") || r == '.' && i >= 3 && strings.EqualFold(s[i-3:i], "www")
		// The sign of a list only counts at the start and before a space.
		opens := i == 0 && strings.ContainsRune("+-=", r) || (r == '.' || r == ')') && strings.Trim(s[:i], "0123456789") == "" && strings.TrimPrefix(s[i+1:], " ") != s[i+1:]
		if link || opens || strings.ContainsRune(markdownSigns, r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// XML makes a text of the job safe inside an element or an attribute.
func XML(s string) string {
	var b bytes.Buffer
	if err := xml.EscapeText(&b, []byte(Plain(s))); err != nil {
		return "" // a buffer does not fail
	}
	return b.String()
}

// Ratio prints a utilisation so that one just past its limit does not read
// as 1.00.
func Ratio(u float64) string {
	s := strconv.FormatFloat(u, 'f', 2, 64)
	if s == "1.00" && u != 1 {
		s = strconv.FormatFloat(u, 'f', 4, 64)
	}
	return s
}

// Relative is a place as seen from another: the line alone in the same file.
func Relative(at, from source.Span) string {
	pos := at.Position()
	if at.File == from.File && pos.Line > 0 {
		return fmt.Sprintf("line %d", pos.Line)
	}
	return pos.String()
}

// morePlaces is how many further places of an outcome a reader is shown; the
// reports for machines have all.
const morePlaces = 16

// Also says where else the job bears on an outcome: the places that were read
// first, and how many more there are.
func Also(o *review.Outcome) string {
	at := o.Also()
	few := Each(at[:min(len(at), morePlaces)], func(at source.Span) string { return Relative(at, o.At) })
	if n := len(at) - len(few); n > 0 {
		few = append(few, fmt.Sprintf("and %d more", n))
	}
	return strings.Join(few, ", ")
}

// Apart is what a finding has that the worst of its group has not.
func Apart(o, worst *review.Outcome) string {
	var parts []string
	if o.Measure != nil && o.Limit != nil {
		s := o.Measure.Text
		if worst.Limit == nil || o.Limit.Text != worst.Limit.Text {
			s += ", " + string(o.LimitKind) + " " + o.Limit.Text
		}
		parts = append(parts, s)
	} else if o.Finding != worst.Finding {
		parts = append(parts, o.Finding)
	}
	if open := Open(o); open != Open(worst) {
		parts = append(parts, open)
	}
	if o.At.Known() && o.At != worst.At {
		parts = append(parts, Relative(o.At, worst.At))
	}
	if o.Excused != nil && o.Excused != worst.Excused {
		parts = append(parts, "accepted by "+AcceptedBy(o.Excused)+": "+o.Excused.Reason.Value)
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

// FirstLine cuts a text off at its first line break.
func FirstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}
