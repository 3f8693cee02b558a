package review

// Standing is a list of outcomes that were outstanding when it was written, for
// jobs that were there before their reviews. What is on it stays visible and does
// not count for the gate.
type Standing struct {
	Entries []StandingEntry
	Gone    []StandingEntry // that no longer occur in the review that was held against them
}

// StandingEntry is one outcome of such a list. An outcome that reads something
// else than it did is another one.
type StandingEntry struct {
	Check   string
	Subject string // as reports print it
	Read    string // the hash of what it read; see ReadHash
}

// StandingOf lists what is outstanding in a review, in its order.
func StandingOf(r *Review) []StandingEntry {
	var out []StandingEntry
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Outstanding() {
			out = append(out, r.entry(o))
		}
	}
	return out
}

func (r *Review) entry(o *Outcome) StandingEntry {
	return StandingEntry{o.Check.ID, o.Subject.Label(), r.ReadHash(o)}
}

// stand marks what is on the list of what was there before. Each entry stands for
// one outcome.
func (r *Review) stand() {
	if r.Standing == nil {
		return
	}
	list := &Standing{Entries: r.Standing.Entries} // another review may be held against the same list
	left := map[StandingEntry]int{}
	checks := map[string]bool{}
	for _, e := range list.Entries {
		left[e]++
		checks[e.Check] = true
	}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if !o.Outstanding() || !checks[o.Check.ID] {
			continue
		}
		if e := r.entry(o); left[e] > 0 {
			left[e]--
			o.Listed = true
		}
	}
	ran := map[string]bool{}
	for _, id := range r.ran {
		ran[id] = true
	}
	for _, e := range list.Entries {
		if left[e] > 0 && (ran[e.Check] || r.Book.Check(e.Check) == nil) { // of a check that did not run nothing can be told
			left[e]--
			list.Gone = append(list.Gone, e)
		}
	}
	r.Standing = list
}

// Listed tells whether all that a comment is about stands on the list of what was
// there before.
func (c *Comment) Listed() bool { return c.about() > 0 && c.listed() == c.about() }

// PartListed tells whether some of what a comment is about does and some does not.
func (c *Comment) PartListed() bool { return c.listed() > 0 && c.listed() < c.about() }

func (c *Comment) about() int {
	n := len(c.Subjects)
	for _, m := range c.Missing {
		n += len(m.outcomes)
	}
	return n
}

func (c *Comment) listed() int {
	n := 0
	count := func(list []*Outcome) {
		for _, o := range list {
			if o.Listed {
				n++
			}
		}
	}
	count(c.Subjects)
	for _, m := range c.Missing {
		count(m.outcomes)
	}
	return n
}
