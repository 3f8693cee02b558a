package proof

import (
	"plumbrule/internal/codebook"
	"plumbrule/internal/parallel"
	"plumbrule/internal/review"
)

// Score tells how well the examples of one check prove it.
type Score struct {
	Check     *codebook.Check
	Mutants   int
	Survivors []codebook.Mutant // those that no example tells from the check
}

// Scores holds the mutants of checks, which were loaded in full, against their
// examples. The job of an example is read once, and its terms are computed once
// for all mutants of the check.
func (b *Bench) Scores(checks []*codebook.Check) ([]Score, error) {
	scores, errs := make([]Score, len(checks)), make([]error, len(checks))
	parallel.Each(len(checks), func(i int) { scores[i], errs[i] = b.score(checks[i]) })
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return scores, nil
}

func (b *Bench) score(c *codebook.Check) (Score, error) {
	alive, err := c.Mutants()
	s := Score{Check: c, Mutants: len(alive)}
	if err != nil {
		return s, err
	}
	for _, x := range c.Examples {
		if len(alive) == 0 {
			break
		}
		r, outcomes, err := b.run(b.book, c, x)
		if err != nil {
			continue // a fault of the example, which is told of elsewhere
		}
		kept := alive[:0]
		for _, m := range alive {
			if !b.tells(r, outcomes, m, x) {
				kept = append(kept, m)
			}
		}
		alive = kept
	}
	s.Survivors = alive
	return s, nil
}

// tells reports whether an example tells a mutant from its check: some outcome
// is another.
func (b *Bench) tells(r *review.Review, outcomes []*review.Outcome, m codebook.Mutant, x codebook.Example) bool {
	if m.Check.Gathers != "" { // what it says hangs on all other checks
		one := &codebook.Codebook{Checks: []*codebook.Check{m.Check}, Words: b.book.Words}
		_, now, err := b.run(b.book.With(one), m.Check, x)
		if err != nil || len(now) != len(outcomes) {
			return true
		}
		for i, o := range now {
			if o.Result != outcomes[i].Result || o.Defect != "" {
				return true
			}
		}
		return false
	}
	for _, o := range outcomes {
		if now := r.Held(m.Check, o.Subject); now.Result != o.Result || now.Defect != "" {
			return true
		}
	}
	return false
}
