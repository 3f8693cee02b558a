package review

import "plumbrule/internal/codebook"

// Gate is what makes a review fail: the least severity that counts, and whether
// only what is not met does.
type Gate struct {
	Severity   codebook.Severity
	NotMetOnly bool // what is undetermined does not count
}

// Gates lists every gate, the usual one first.
var Gates = []Gate{
	{codebook.Correction, false}, {codebook.Verify, false}, {codebook.Advisory, false},
	{codebook.Correction, true}, {codebook.Verify, true}, {codebook.Advisory, true},
}

// String is the gate as the command line has it: "correction",
// "verify:not-met".
func (g Gate) String() string {
	if g.NotMetOnly {
		return string(g.Severity) + ":not-met"
	}
	return string(g.Severity)
}

// Results are the results that count.
func (g Gate) Results() []Result {
	if g.NotMetOnly {
		return []Result{NotMet}
	}
	return []Result{NotMet, Undetermined}
}

// counts tells whether what is outstanding with a severity and a result fails
// the gate.
func (g Gate) counts(s codebook.Severity, result Result) bool {
	return s.Rank() <= g.Severity.Rank() && (result == NotMet || !g.NotMetOnly)
}

// Fails tells whether a comment makes its review fail.
func (g Gate) Fails(c *Comment) bool { return g.counts(c.Severity, c.Result) && !c.Listed() }

// FailsUnfounded tells whether a deviation that excuses nothing makes its review
// fail: somebody has to look at it, as at what is to be verified.
func (g Gate) FailsUnfounded() bool { return g.counts(codebook.Verify, NotMet) }

// Exceeds reports whether anything outstanding makes the review fail.
func (r *Review) Exceeds(g Gate) bool {
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Outstanding() && !o.Listed && g.counts(o.Check.Severity, o.Result) {
			return true
		}
	}
	return len(r.Unfounded()) > 0 && g.FailsUnfounded()
}
