package report

import (
	"fmt"
	"strconv"

	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// stateWidth is the column of a state.
const stateWidth = len(review.Same)

// rounds lists what became of the comments of the earlier review, with the
// applicant's responses.
func (t *letter) rounds() {
	if t.r.Earlier == nil {
		return
	}
	records := t.r.Ledger()
	t.line("")
	t.line(fmt.Sprintf("EARLIER COMMENTS, after round %d: %s", t.r.Earlier.Round, wording.StatesOf(records)))
	for _, text := range t.r.Since() {
		t.paragraph(0, text)
	}
	for _, rec := range records {
		if rec.State == review.New {
			continue
		}
		number := strconv.Itoa(rec.Number)
		lead := wording.Spaces(numberWidth-len(number)) + number + "  " + string(rec.State) + wording.Spaces(stateWidth-len(rec.State)+2)
		indent := len(lead)
		for i, l := range wrap(wording.Plain(fmt.Sprintf("%s (%s)", wording.RecordHeading(rec), wording.ItemsOf(rec))), t.width-indent) {
			if i > 0 {
				lead = wording.Spaces(indent)
			}
			t.line(lead + l)
		}
		if text := wording.ResponseTo(t.r, rec); text != "" {
			t.paragraph(indent, "response: "+text)
		}
	}
}

// status is how a comment stands: its result, and what became of it since the
// earlier review or that it stands on the list of what was there before.
func (t *letter) status(c *review.Comment) string {
	s := wording.Status(c)
	if t.r.Earlier != nil {
		if t.states == nil {
			t.states = wording.RoundsOf(t.r)
		}
		s += ", " + t.states.Comment(c.Number)
	}
	switch {
	case c.Listed():
		s += ", on the list"
	case c.PartListed():
		s += ", partly listed"
	}
	return s
}

// earlier are the comments so far, of a review that goes on from an earlier one.
func earlier(r *review.Review) []*review.Record {
	if r.Earlier == nil {
		return nil
	}
	return r.Ledger()
}
