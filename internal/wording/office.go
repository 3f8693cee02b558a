package wording

import (
	"fmt"
	"strings"

	"plumbrule/internal/review"
)

// AcceptedBy says who accepted a deviation, when, until when and where that is
// written down.
func AcceptedBy(d *review.Deviation) string {
	s := d.By.Value + ", " + d.Date.Value
	if d.Until.Known {
		s += " until " + d.Until.Value
	}
	return s + ", " + d.Reference.Value
}

// Unfounded says why a deviation excuses nothing.
func Unfounded(d *review.Deviation) string {
	name := "The accepted deviation"
	if d.Claim {
		name = "The deviation that the job states"
	}
	return Sentence(fmt.Sprintf("%s from %s for %s excuses nothing: %s", name, d.Check.Value, d.Subject.Value, d.Finding))
}

// Claimed says what a claim of the applicant is and what the authority's file has
// for it.
func Claimed(d *review.Deviation) string {
	s := fmt.Sprintf("Claimed, and not counted: a deviation from %s for %s, said to be accepted by %s: %s", d.Check.Value, d.Subject.Value, AcceptedBy(d), Sentence(d.Reason.Value))
	switch d.Answer {
	case review.Granted:
		s += " The authority's file grants it in the same words."
	case review.GrantedElse:
		s += " The authority's file grants it with another " + strings.Join(d.Differ, ", ") + "."
	case review.NotGranted:
		s += " The authority's file does not grant it."
	}
	return s
}

// deviations are the remarks on deviations: those that excuse nothing, and claims.
func deviations(r *review.Review) []string {
	var out []string
	for _, d := range r.Unfounded() {
		out = append(out, fmt.Sprintf("%s (%s)", Unfounded(d), d.Check.At.Position()))
	}
	for _, d := range r.Claims() {
		if d.Finding == "" {
			out = append(out, fmt.Sprintf("%s (%s)", Claimed(d), d.Check.At.Position()))
		}
	}
	return out
}

// OnList says how many outstanding outcomes stand on the list of what was there
// before, and which entries of it no longer occur; nothing without such a list.
func OnList(r *review.Review) []string {
	if r.Standing == nil {
		return nil
	}
	n := r.Totals.Listed
	out := []string{fmt.Sprintf("%s on the standing list and %s not count; %d outstanding %s not on it.",
		Plural(n, "outcome stands", "outcomes stand"), one(n, "does", "do"), outstanding(r)-n, one(outstanding(r)-n, "is", "are"))}
	gone := r.Standing.Gone
	if len(gone) > 0 {
		names := Each(gone[:min(len(gone), mostGone)], func(e review.StandingEntry) string { return e.Check + " for " + e.Subject })
		if more := len(gone) - len(names); more > 0 {
			names = append(names, fmt.Sprintf("%d more", more))
		}
		out = append(out, fmt.Sprintf("%s of the standing list no longer %s and may be taken off it: %s.", Plural(len(gone), "entry", "entries"), one(len(gone), "occurs", "occur"), strings.Join(names, "; ")))
	}
	return out
}

// mostGone is how many entries that no longer occur a report names; those for
// machines name all.
const mostGone = 12

func one(n int, single, many string) string {
	if n == 1 {
		return single
	}
	return many
}

func outstanding(r *review.Review) int {
	n := 0
	for _, k := range r.Totals.Outstanding {
		n += k
	}
	return n
}

// Rounds is how the comments of a review stand that goes on from an earlier one.
type Rounds struct {
	records map[int]*review.Record
	items   map[string]*review.Item
}

// RoundsOf looks up the states of the comments of a review.
func RoundsOf(r *review.Review) *Rounds {
	s := &Rounds{map[int]*review.Record{}, map[string]*review.Item{}}
	if r.Earlier == nil {
		return s
	}
	for _, rec := range r.Ledger() {
		s.records[rec.Number] = rec
		for _, item := range rec.Items {
			s.items[item.Number] = item
		}
	}
	return s
}

// Comment is the state of a comment, "" where no review came before.
func (s *Rounds) Comment(number int) string {
	if rec := s.records[number]; rec != nil {
		return string(rec.State)
	}
	return ""
}

// Item is the state of one thing that a comment is about.
func (s *Rounds) Item(number string) string {
	if item := s.items[number]; item != nil {
		return string(item.State)
	}
	return ""
}

// ItemsOf says what a comment is about in its state, drawn together.
func ItemsOf(rec *review.Record) string {
	var order []string
	names := map[string][]string{}
	for _, item := range rec.Items {
		state := string(item.State)
		if len(item.ComesOf) > 0 {
			state += ", comes of comment " + strings.Join(Each(item.ComesOf, func(n int) string { return fmt.Sprint(n) }), ", ")
		}
		name := item.Subject
		if item.Need != "" {
			name = item.Need
		}
		if names[state] == nil {
			order = append(order, state)
		}
		names[state] = append(names[state], name)
	}
	if len(order) == 1 && order[0] == string(rec.State) {
		return strings.Join(Ranges(names[order[0]]), ", ")
	}
	return strings.Join(Each(order, func(state string) string { return state + ": " + strings.Join(Ranges(names[state]), ", ") }), "; ")
}

// RecordHeading is what a comment was about.
func RecordHeading(rec *review.Record) string {
	if rec.Comment != nil {
		return Heading(rec.Comment)
	}
	return rec.Heading
}

// ResponseTo is what the applicant answered to a comment and to the things that it
// is about.
func ResponseTo(r *review.Review, rec *review.Record) string {
	whole := fmt.Sprint(rec.Number)
	var out []string
	if text := r.ResponseTo(whole); text != "" {
		out = append(out, text)
	}
	for _, item := range rec.Items {
		if text := r.ResponseTo(item.Number); text != "" && item.Number != whole {
			out = append(out, item.Number+": "+text)
		}
	}
	return strings.Join(out, "; ")
}

// StatesOf counts the comments of a ledger by state, in words.
func StatesOf(records []*review.Record) string {
	n := map[review.State]int{}
	for _, rec := range records {
		n[rec.State]++
	}
	var parts []string
	for _, s := range review.States {
		if n[s] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n[s], s))
		}
	}
	if len(parts) == 0 {
		return "no comments"
	}
	return strings.Join(parts, ", ")
}

// Response is the applicant's to a comment; "" for none.
func (s *Rounds) Response(r *review.Review, number int) string {
	if rec := s.records[number]; rec != nil {
		return ResponseTo(r, rec)
	}
	return ""
}
