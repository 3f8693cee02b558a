package report

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
)

// Sheet writes the page of one check: what it asks, of what, under which
// sections, by which formula, why, how sure its limit is, and its examples.
func Sheet(w io.Writer, c *codebook.Check) error {
	p := newPage(TextOptions{})
	p.line(c.ID)
	p.paragraph(0, c.Title)
	p.line("")
	p.row("Severity", string(c.Severity))
	p.row("Off", c.Off)
	p.rows("Amended", amendments(c))
	if c.Since > 0 {
		p.row("Since", fmt.Sprintf("rule set %d", c.Since))
	}
	p.row("Each", c.Each.Name+": "+c.Each.Meaning)
	p.rows("Under", sections(c))
	p.row("When", c.WhenText)
	p.row("Measure", c.Measure)
	for _, l := range c.Limits {
		p.row(limitLabel(l.Kind), l.Text+onlyUnder(l))
	}
	p.row("Within", c.Within)
	varies := make([]string, len(c.Varies))
	for i, v := range c.Varies {
		varies[i] = v.String()
	}
	p.rows("May vary", varies)
	p.row("Why", c.Because)
	if c.Binding {
		p.row("Excused", "never: no deviation sets it aside, since life hangs on it")
	}
	p.row("Sureness", c.Provenance)
	p.row("Scope", strings.Join(c.Scope, ", "))
	examples := make([]string, len(c.Examples))
	for i, e := range c.Examples {
		examples[i] = exampleText(e)
	}
	p.rows("Examples", examples)
	_, err := w.Write(p.Bytes())
	return err
}

func limitLabel(k codebook.LimitKind) string {
	return strings.ToUpper(string(k[:1])) + string(k[1:])
}

func onlyUnder(l codebook.Limit) string {
	if l.Code == "" {
		return ""
	}
	return "  (under " + l.Code + " " + strings.Join(l.Editions, ", ") + ")"
}

// amendments lists what layers of an authority changed, in their order.
func amendments(c *codebook.Check) []string {
	var out []string
	for _, a := range c.Amended {
		out = append(out, fmt.Sprintf("%s, %s: %s", a.Layer, a.By, a))
	}
	return out
}

// sections lists the citations with their editions, then the editions that
// have no such rule.
func sections(c *codebook.Check) []string {
	var out []string
	for _, cite := range c.Cites {
		s := strings.TrimSpace(strings.TrimSpace(cite.Code+" "+strings.Join(cite.Editions, ", ")) + ": " + cite.Section)
		s = strings.TrimSuffix(s, ":")
		if cite.Note != "" {
			s += " (" + cite.Note + ")"
		}
		out = append(out, s)
	}
	for _, s := range c.Silent {
		out = append(out, fmt.Sprintf("%s %s: no such rule; %s", s.Code, strings.Join(s.Editions, ", "), s.Why))
	}
	return out
}

// exampleText says what is changed in the job, and the outcome.
func exampleText(e codebook.Example) string {
	var changes []string
	for _, key := range slices.Sorted(maps.Keys(e.Set)) {
		changes = append(changes, key+" = "+literal(e.Set[key]))
	}
	for _, key := range e.Unset {
		changes = append(changes, "no "+key)
	}
	for _, key := range slices.Sorted(maps.Keys(e.Add)) {
		for _, entry := range e.Add[key] {
			changes = append(changes, "another "+key+" "+literal(entry))
		}
	}
	s := e.Job
	if len(changes) > 0 {
		s += " with " + strings.Join(changes, ", ")
	}
	if e.Subject != "" {
		s += ", for " + e.Subject
	}
	return s + ": " + e.Expect
}

// literal writes a value of a rule file; what TOML decodes to is always
// writable.
func literal(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	return string(text)
}
