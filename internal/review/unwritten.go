package review

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
)

// unwrittenFor settles an outcome of a check that says nothing for the editions
// named, such as "NEC 2026": nothing is known of what they ask.
func (o *Outcome) unwrittenFor(editions []string, reason string) {
	o.undetermined(nil, reason)
	o.unwritten = strings.Join(editions, ", ")
}

// editionsOf lists the adopted editions of some codes, in the order of names.
func editionsOf(codes map[string][]string, adopted map[string]string) []string {
	var out []string
	for _, name := range slices.Sorted(maps.Keys(codes)) {
		code, _ := job.CodeNamed(name)
		if e := adopted[name]; e != "" {
			out = append(out, job.EditionName(code.Name, e))
		}
	}
	return out
}

// gather says once, in the outcome of the check that gathers, which checks are
// not written for an adopted edition; theirs become not applicable. Where no
// such check ran, and for a check that a deviation names, each outcome stays
// undetermined: a job under such an edition never passes by it. The others are
// outcomes of checks that were not asked for, which the list has to name too.
func (r *Review) gather(others []Outcome) {
	var heads []*Outcome
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Check.Gathers == codebook.Unwritten && o.Result == Met {
			heads = append(heads, o)
		}
	}
	if len(heads) == 0 {
		return
	}
	lists := map[string]map[string]bool{}
	list := func(o *Outcome) bool {
		if o.unwritten == "" || r.departing[o.Check.ID] {
			return false
		}
		if lists[o.unwritten] == nil {
			lists[o.unwritten] = map[string]bool{}
		}
		lists[o.unwritten][o.Check.ID] = true
		return true
	}
	for i := range others {
		list(&others[i])
	}
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; list(o) {
			o.Result, o.Reasons = NotApplicable, nil
			o.Reason = fmt.Sprintf("not written for %s, which %s says of all such checks at once", o.unwritten, heads[0].Check.ID)
		}
	}
	if len(lists) == 0 {
		return
	}
	var reasons []string
	for _, editions := range slices.Sorted(maps.Keys(lists)) {
		ids := slices.Sorted(maps.Keys(lists[editions]))
		verb := "checks are"
		if len(ids) == 1 {
			verb = "check is"
		}
		reasons = append(reasons, fmt.Sprintf("%d %s not written for %s: %s", len(ids), verb, editions, strings.Join(ids, ", ")))
	}
	for _, o := range heads {
		o.undetermined(nil, strings.Join(reasons, "; "))
		o.Reasons = reasons
	}
}

// unasked holds the checks of the book that were not asked for, where one that
// gathers was.
func unasked(book *codebook.Codebook, ran []*codebook.Check) []*codebook.Check {
	if !slices.ContainsFunc(ran, func(c *codebook.Check) bool { return c.Gathers != "" }) {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(book.Checks), func(c *codebook.Check) bool { return slices.Contains(ran, c) })
}
