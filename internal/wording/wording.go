// Package wording holds what all reports say alike: the notice and the cautions,
// citations, counts, the grouping of like findings and their numbers, and text
// made safe for terminals, Markdown and XML.
package wording

import (
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
)

// Notice stands in every report.
const Notice = "A preflight aid: the authority having jurisdiction and licensed professionals decide."

// Cautions are the dangers of the trade that every report recalls.
var Cautions = []string{
	"Shock: an array is live in any daylight; a string stays live with every switch open.",
	"Falls: no roof work without fall protection; skylights and old sheet do not carry a person.",
	"Fire: a poor connection feeds an arc that does not go out; keep the fire service's ways clear.",
}

// Cited is a citation in the same words, with its note: "NEC 2023 690.7",
// "common practice: wire management".
func Cited(c review.Citation) string {
	s := job.EditionName(c.Code, c.Edition)
	if c.Section != "" {
		if uncoded(c) {
			s += ":"
		}
		s += " " + c.Section
	}
	if c.Note != "" {
		s += " (" + c.Note + ")"
	}
	return s
}

// uncoded reports whether a citation names no code, standard or paper, but what
// the trade or a maker wants; such a name is written small.
func uncoded(c review.Citation) bool { return c.Code != "" && c.Code[0] >= 'a' && c.Code[0] <= 'z' }

// Basis is what a check rests on, of one sort, under the heading that it is
// printed with: sections of codes, common practice, a maker's instructions.
type Basis struct {
	Heading string
	Texts   []string
}

// String is the basis in one line: "Section: NEC 2023 690.7; NEC 2023 110.3(B)".
func (b Basis) String() string { return b.Heading + ": " + strings.Join(b.Texts, "; ") }

// BasesOf sorts citations by what they are printed under, in their order. What
// has no section to name stands under the heading of codes by its own name.
func BasesOf(cites []review.Citation) []Basis {
	var out []Basis
	for _, c := range cites {
		b := Basis{Heading: "Section", Texts: []string{Cited(c)}}
		if uncoded(c) {
			b.Heading = "Rests on"
			if c.Section != "" {
				b.Heading = Capital(c.Code)
				c.Code = ""
				b.Texts[0] = strings.TrimSpace(Cited(c))
			}
		}
		i := slices.IndexFunc(out, func(o Basis) bool { return o.Heading == b.Heading })
		if i < 0 {
			out = append(out, b)
			continue
		}
		out[i].Texts = append(out[i].Texts, b.Texts...)
	}
	return out
}

// JobFile is the name of the job's file as it was given.
func JobFile(r *review.Review) string {
	if len(r.Job.Files) == 0 {
		return ""
	}
	return r.Job.Files[0].Name
}

// Plural counts a thing: "1 correction", "2 corrections".
func Plural(n int, one, many string) string {
	if n == 1 {
		return fmt.Sprintf("%d %s", n, one)
	}
	return fmt.Sprintf("%d %s", n, many)
}

// BySeverity says how many outcomes of each severity are outstanding, gravest
// first; "" when none is.
func BySeverity(n map[codebook.Severity]int) string {
	var out []string
	for _, s := range codebook.Severities {
		if n[s] == 0 {
			continue
		}
		switch s {
		case codebook.Correction:
			out = append(out, Plural(n[s], "correction", "corrections"))
		case codebook.Verify:
			out = append(out, fmt.Sprintf("%d to verify", n[s]))
		case codebook.Advisory:
			out = append(out, Plural(n[s], "advisory", "advisories"))
		}
	}
	return strings.Join(out, ", ")
}

// Remarks are what a reader has to know of the review itself, in groups: checks
// that had nothing to look at, the authority whose word it stands under, deviations
// that excuse nothing and claims of deviations, what stands on the list of what was
// there before, and defects.
func Remarks(r *review.Review) [][]string {
	var idle, unused, defects []string
	if len(r.Idle) > 0 {
		idle = []string{Plural(len(r.Idle), "check", "checks") + " had nothing to look at in this job: " + strings.Join(r.Idle, ", ") + "."}
	}
	unused = deviations(r)
	for _, d := range r.Defects() {
		defects = append(defects, "Defect of the program, not of the job: "+FirstLine(d))
	}
	return [][]string{idle, Authority(r.Book), unused, OnList(r), defects}
}
