package review

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Leave says which deviations count in a review. Those of the job are claims of
// the applicant and count for nothing unless Stated says so.
type Leave struct {
	Granted []job.Deviation // of the authority's own file
	Filed   bool            // whether there is such a file, which may grant nothing
	Stated  bool            // claims of the job are taken as granted
	Date    string          // of the review; "" for none. Nothing else tells whether a deviation has ended
}

// Deviation is leave to depart from a check, with what became of it.
type Deviation struct {
	job.Deviation
	Claim   bool       // the job states it
	Counts  bool       // it excuses, where it is in order
	Excuses []*Outcome // that it excuses or, of a claim that does not count, would excuse
	Finding string     // why it excuses nothing, in a sentence; "" where it is in order or its check did not run

	// Answer is what the authority's file says of a claim; "" without such a file.
	Answer Answer
	Grant  *Deviation // the one of the authority's file for the same thing
	Differ []string   // the keys in which it says something else, in the order of the model
}

// Answer is what the authority's file says of a claim.
type Answer string

const (
	Granted     Answer = "granted"
	GrantedElse Answer = "granted with other words"
	NotGranted  Answer = "not granted"
)

// faults refuses a deviation from a check that does not exist, and ends that
// cannot be held against the date of the review.
func (l Leave) faults(j *job.Job, book *codebook.Codebook) error {
	var faults source.Faults
	_, err := time.Parse(job.Day, l.Date)
	for _, d := range slices.Concat(l.Granted, j.Deviations) {
		if book.Check(d.Check.Value) == nil {
			fault := source.Fault{At: d.Check.At, Message: fmt.Sprintf("there is no check %q", d.Check.Value)}
			fault.Nearest, _ = quantity.Nearest(d.Check.Value, book.IDs())
			faults = append(faults, fault)
		}
		if d.Until.Known && l.Date != "" && err != nil {
			faults = append(faults, source.Fault{At: d.Until.At, Message: fmt.Sprintf("the end cannot be held against the date of the review, which is %q", l.Date), Expected: "a day is expected as that date, as in 2026-03-02"})
		}
	}
	return faults.Err()
}

// depart works out what becomes of every deviation, and marks what it excuses
// or is claimed for. It alone decides that, for every command.
func (r *Review) depart() {
	for i := range r.leave.Granted {
		r.Deviations = append(r.Deviations, &Deviation{Deviation: r.leave.Granted[i], Counts: true})
	}
	granted := r.Deviations
	for i := range r.Job.Deviations {
		r.Deviations = append(r.Deviations, &Deviation{Deviation: r.Job.Deviations[i], Claim: true, Counts: r.leave.Stated})
	}
	of := map[string]byName{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if !r.departing[o.Check.ID] {
			continue
		}
		if of[o.Check.ID] == nil {
			of[o.Check.ID] = byName{}
		}
		of[o.Check.ID].add(o)
	}
	for _, d := range r.Deviations {
		if slices.Contains(r.ran, d.Check.Value) { // else it cannot be told
			d.hold(r, of[d.Check.Value])
		}
		if d.Claim && r.leave.Filed {
			d.answer(granted)
		}
	}
}

// departures are the checks that any deviation is from.
func departures(j *job.Job, l Leave) map[string]bool {
	out := map[string]bool{}
	for _, d := range slices.Concat(l.Granted, j.Deviations) {
		out[d.Check.Value] = true
	}
	return out
}

// byName has the outcomes of a check by the whole names of what they are about,
// as reports print them ("array south") and without the kind ("south").
type byName map[string][]*Outcome

func (b byName) add(o *Outcome) {
	label := o.Subject.Label()
	b[label] = append(b[label], o)
	if name := o.Subject.Name; name != "" && name != label {
		b[name] = append(b[name], o)
	}
}

// hold finds what a deviation excuses among the outcomes of its check.
func (d *Deviation) hold(r *Review, all byName) {
	mine := all[d.Subject.Value]
	check := r.Book.Check(d.Check.Value)
	switch date := r.leave.Date; {
	case check.Binding:
		d.Finding = "no deviation sets this check aside, since life hangs on it"
	case check.Gathers != "":
		d.Finding = "this check stands for others, which a deviation has to name one by one"
	case len(mine) == 0:
		d.Finding = unmatched(d.Subject.Value, all)
	case len(mine) > 1:
		d.Finding = fmt.Sprintf("%d things are called %q", len(mine), d.Subject.Value)
	case d.Until.Known && date == "":
		d.Finding = fmt.Sprintf("it ends on %s, and the review has no date that this is held against", d.Until.Value)
	case d.Until.Known && date > d.Until.Value:
		d.Finding = fmt.Sprintf("it ended on %s, and the review is of %s", d.Until.Value, date)
	case isDay(date) && date < d.Date.Value:
		d.Finding = fmt.Sprintf("it was accepted on %s, and the review is of %s", d.Date.Value, date)
	case mine[0].Defect != "":
		d.Finding = "the check failed"
	case mine[0].Excused != nil:
		d.Finding = "another deviation excuses it already (" + mine[0].Excused.At.Position().String() + ")"
		if d.Claim && !mine[0].Excused.Claim { // which is granted: the claim is right
			d.Finding, d.Excuses = "", mine
		}
	case mine[0].Claimed != nil:
		d.Finding = "another deviation is claimed for it already (" + mine[0].Claimed.At.Position().String() + ")"
	case !mine[0].Outstanding():
		d.Finding = fmt.Sprintf("there is nothing to excuse: it is %s", mine[0].Result)
		if mine[0].Result == NotApplicable {
			d.Finding = "there is nothing to excuse: the check does not apply"
		}
	case d.Counts:
		d.Excuses, mine[0].Excused = mine, d
	default:
		d.Excuses, mine[0].Claimed = mine, d
	}
}

// isDay tells whether a date of a review can be held against others.
func isDay(date string) bool {
	_, err := time.Parse(job.Day, date)
	return err == nil
}

// unmatched says that a check has nothing of a name, and what was probably meant.
func unmatched(subject string, all byName) string {
	text := fmt.Sprintf("the check has no %q", subject)
	if strings.Trim(subject, "0123456789.") == "" {
		return text + "; a number may go to another thing in the next review, so a deviation names the thing itself"
	}
	names := slices.Sorted(maps.Keys(all))
	if len(names) == 0 {
		return text + ": it has nothing to look at in this job"
	}
	return text + quantity.DidYouMean(subject, names[:min(len(names), mostNames)])
}

// mostNames bounds the search for the name that was meant.
const mostNames = 2000

// answer says what the authority's file has for a claim.
func (d *Deviation) answer(granted []*Deviation) {
	d.Answer = NotGranted
	for _, g := range granted {
		if g.Check.Value != d.Check.Value || g.Finding != "" || !g.sameThing(d) {
			continue
		}
		d.Grant, d.Answer = g, Granted
		for _, pair := range []struct {
			key       string
			mine, his job.Text
		}{{"reason", d.Reason, g.Reason}, {"by", d.By, g.By}, {"date", d.Date, g.Date}, {"until", d.Until, g.Until}, {"reference", d.Reference, g.Reference}} {
			if pair.mine.Known != pair.his.Known || strings.Join(strings.Fields(pair.mine.Value), " ") != strings.Join(strings.Fields(pair.his.Value), " ") {
				d.Differ = append(d.Differ, pair.key)
			}
		}
		if len(d.Differ) > 0 {
			d.Answer = GrantedElse
		}
		return
	}
}

// sameThing tells whether two deviations from a check are about one thing.
func (d *Deviation) sameThing(other *Deviation) bool {
	if d.Subject.Value == other.Subject.Value {
		return true
	}
	if len(d.Excuses) != 1 {
		return false
	}
	s := d.Excuses[0].Subject
	return other.Subject.Value == s.Label() || other.Subject.Value == s.Name
}

// Unfounded lists the deviations that excuse nothing, each with its finding.
func (r *Review) Unfounded() []*Deviation {
	var out []*Deviation
	for _, d := range r.Deviations {
		if d.Finding != "" {
			out = append(out, d)
		}
	}
	return out
}

// Claims lists the deviations that the job states and that count for nothing.
func (r *Review) Claims() []*Deviation {
	var out []*Deviation
	for _, d := range r.Deviations {
		if d.Claim && !d.Counts {
			out = append(out, d)
		}
	}
	return out
}
