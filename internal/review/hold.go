package review

import (
	"errors"
	"fmt"
	"maps"
	"runtime/debug"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// holding is one check that is held against its subjects, with what is the same for
// all of them. It is used by one goroutine.
type holding struct {
	model   *terms.Model
	check   *codebook.Check
	adopted map[string]string
	sys     quantity.System

	decisions *codebook.Decisions
	cites     []Citation          // under the adopted editions
	coded     map[string][]string // the editions by code that the check is written for

	spares bool // what need not be kept is only counted; see brief
	silent bool // the adopted editions have no such rule, whatever the subject
}

func newHolding(m *terms.Model, c *codebook.Check, adopted map[string]string, sys quantity.System) *holding {
	h := &holding{model: m, check: c, adopted: adopted, sys: sys, decisions: c.Decisions(m)}
	h.cites, h.coded = citations(c, adopted)
	return h
}

// all holds the check against all its subjects, but for the outcomes that an
// earlier review gives.
func (h *holding) all(out []Outcome, subjects []*terms.Subject, taken []*Outcome) {
	for i, s := range subjects {
		if i < len(taken) && taken[i] != nil {
			out[i] = *taken[i]
			out[i].Subject, out[i].Excused, out[i].Claimed, out[i].Listed = s, nil, nil, false
			if out[i].untold != nil { // its words may name parts of the condition that the outcome did not rest on
				out[i].untold = h.model
			}
			continue
		}
		out[i] = h.hold(s)
	}
}

// hold gives the one outcome of a check for a subject. A panic in it is a
// defect of the program: it is named and the pair stays undetermined.
func (h *holding) hold(s *terms.Subject) (o Outcome) {
	m, c, sys := h.model, h.check, h.sys
	o = Outcome{Check: c, Subject: s, At: s.At, Cites: h.cites, sys: sys}
	defer func() {
		if p := recover(); p != nil {
			o.undetermined(nil, fmt.Sprintf("check %s failed: %v", c.ID, p))
			o.Defect = fmt.Sprintf("%v\n%s", p, debug.Stack())
		}
	}()
	if c.Off != "" {
		o.Result, o.Reason = NotApplicable, c.Off
		return o
	}
	applies, rest, condition, err := h.decisions.When(s)
	o.rests = append(o.rests, rest)
	if err != nil {
		o.fail(err)
		if o.Defect == "" { // what a check that is not written for the edition asks first need not be known
			untold := o
			if o.adopt(h.coded, h.adopted); o.unwritten != "" {
				return o
			}
			o = untold
		}
		o.locate(condition, s)
		return o
	}
	if !applies {
		o.Result = NotApplicable
		o.untold = m
		return o
	}
	governing := ""
	if condition != nil { // else the check leaves nothing to govern
		governing, err = condition.Governs()
	}
	if err != nil {
		o.fail(err)
		o.locate(condition, s)
		return o
	}
	adopted, coded := h.adopted, h.coded
	if governing != "" {
		adopted = governedBy(c, governing, adopted)
		o.Cites, coded = citations(c, adopted)
	}
	if !o.adopt(coded, adopted) {
		h.silent = o.Result == NotApplicable && governing == ""
		return o
	}
	limit := c.LimitFor(adopted)
	if limit == nil {
		codes := map[string][]string{}
		for _, l := range c.Limits {
			codes[l.Code] = l.Editions
		}
		o.unwrittenFor(editionsOf(codes, adopted), "the check has no limit for the adopted edition")
		return o
	}
	o.LimitKind = limit.Kind
	e := c.Evaluate(m, s)
	o.rests = append(o.rests, e.Rest())
	measure, measured, merr := e.Measure()
	if measured {
		o.measured = len(e.Reads())
	}
	value, lerr := e.Limit(limit)
	room, roomy, rerr := e.Within()
	err = join(join(merr, lerr), rerr)
	if err == nil {
		o.decide(measure, value, room, measured)
		if o.Result == Met {
			if h.decisions.Pass(e); h.counts(&o) {
				return o
			}
		}
	}
	o.by = e.Rest().Sofar()
	o.locate(e, s)
	o.explain(e)
	if merr == nil && measured {
		o.Measure = amount(measure, sys)
	}
	if lerr == nil && measured {
		o.Limit = amount(like(value, measure), sys)
	}
	if err != nil {
		o.fail(err)
		return o
	}
	if roomy {
		o.Limit.Text += ", give or take " + room.Print(sys)
	}
	if o.Result == NotMet && o.hangsOnAssumed() {
		return o
	}
	if o.Result == NotMet {
		o.Finding = e.Finding(sys)
		o.Remedy = e.Remedy(sys)
		o.mends = c.Mended(m, s)
	}
	o.phrase(measured)
	return o
}

// join keeps the needs of both sides, so that a reader learns all at once.
func join(a, b error) error {
	var x, y *codebook.Missing
	if errors.As(a, &x) && errors.As(b, &y) {
		both := &codebook.Missing{Needs: x.Needs}
		seen := map[string]bool{}
		for _, n := range x.Needs {
			seen[n.String()] = true
		}
		for _, n := range y.Needs {
			if !seen[n.String()] {
				both.Needs = append(both.Needs, n)
			}
		}
		return both
	}
	if a != nil {
		return a
	}
	return b
}

// governedBy leaves out of the adopted editions those of the codes that a check
// cites beside the one that governs.
func governedBy(c *codebook.Check, governing string, adopted map[string]string) map[string]string {
	out := maps.Clone(adopted)
	for _, cite := range c.Cites {
		if cite.Code != governing {
			delete(out, cite.Code)
		}
	}
	return out
}

// adopt reports false, with the outcome settled, where the check does not hold under
// the adopted editions or no edition is stated of the codes that it is written for.
func (o *Outcome) adopt(coded map[string][]string, adopted map[string]string) bool {
	if len(coded) == 0 || len(o.Cites) > 0 && o.Cites[0].Edition != "" {
		return true
	}
	for _, s := range o.Check.Silent {
		for _, e := range s.Editions {
			if adopted[s.Code] == e {
				o.Result, o.Reason = NotApplicable, fmt.Sprintf("%s %s has no such rule: %s", s.Code, e, s.Why)
				return false
			}
		}
	}
	need := Need{At: o.At}
	var written []string
	for _, name := range slices.Sorted(maps.Keys(coded)) {
		code, _ := job.CodeNamed(name)
		need.Keys = append(need.Keys, job.Join("adoption", code.Key))
		written = append(written, code.Name+" "+strings.Join(coded[code.Name], ", "))
	}
	if stated := editionsOf(coded, adopted); len(stated) > 0 {
		o.unwrittenFor(stated, fmt.Sprintf("the check is not written for %s (it is for %s)", strings.Join(stated, ", "), strings.Join(written, "; ")))
		return false
	}
	o.Result, o.Needs, o.Reason = Undetermined, []Need{need}, "needs "+need.String()
	return false
}

// citations are those of a check that hold, adopted ones first, and the editions by
// code that the check is written for.
func citations(c *codebook.Check, adopted map[string]string) (cites []Citation, coded map[string][]string) {
	coded = map[string][]string{}
	var plain []Citation
	for _, cite := range c.Cites {
		if _, known := job.CodeNamed(cite.Code); !known {
			plain = append(plain, Citation{Code: cite.Code, Section: cite.Section, Note: cite.Note})
			continue
		}
		coded[cite.Code] = append(coded[cite.Code], cite.Editions...)
		for _, e := range cite.Editions {
			if adopted[cite.Code] == e {
				cites = append(cites, Citation{cite.Code, e, cite.Section, cite.Note})
			}
		}
	}
	cites = append(cites, plain...)
	for _, a := range c.Amended {
		cites = append(cites, Citation{Code: a.By, Note: a.Layer + " amends this check: " + a.String()})
	}
	return slices.Clip(cites), coded
}
