package proof

import (
	"errors"
	"slices"

	"plumbrule/internal/codebook"
	"plumbrule/internal/parallel"
	"plumbrule/internal/review"
)

// Proof tells how well the examples of one check prove it.
type Proof struct {
	Check     *codebook.Check
	Faults    []Fault           // examples that do not hold, or are not there
	Open      []Fault           // kinds of examples that would prove more
	Mutants   int               // small changes that were made to the check
	Survivors []codebook.Mutant // those that no example tells from the check
}

// Prove runs the examples of checks, which were loaded in full, and holds the
// mutants of each against them where that is asked for. The job of an example is
// read once, and its terms are computed once for all mutants of the check.
func (b *Bench) Prove(checks []*codebook.Check, mutants bool) ([]Proof, error) {
	proofs, errs := make([]Proof, len(checks)), make([]error, len(checks))
	parallel.Each(len(checks), func(i int) { proofs[i], errs[i] = b.prove(checks[i], mutants) })
	return proofs, errors.Join(errs...)
}

func (b *Bench) prove(c *codebook.Check, mutants bool) (Proof, error) {
	p := Proof{Check: c}
	if mutants {
		var err error
		if p.Survivors, err = c.Mutants(); err != nil {
			return p, err
		}
	}
	p.Mutants = len(p.Survivors)
	outcomes, errs := make([][]*review.Outcome, len(c.Examples)), make([]error, len(c.Examples))
	for n, x := range c.Examples {
		r, list, err := b.run(b.book, c, x)
		if outcomes[n], errs[n] = list, err; err == nil {
			p.Survivors = slices.DeleteFunc(p.Survivors, func(m codebook.Mutant) bool { return b.tells(r, list, m, x) })
		}
	}
	p.Faults, p.Open = faultsOf(c, outcomes, errs), open(c, outcomes)
	return p, nil
}

// open names the kinds of examples that a check has none of, where it could.
func open(c *codebook.Check, outcomes [][]*review.Outcome) (out []Fault) {
	seen := map[review.Result]bool{}
	held := map[review.Result]bool{} // with a measure and a limit
	for _, list := range outcomes {
		for _, o := range list {
			seen[o.Result] = true
			if o.Measure != nil && o.Limit != nil {
				held[o.Result] = true
			}
		}
	}
	say := func(says string) { out = append(out, Fault{c.At, says}) }
	if !seen[review.Undetermined] {
		say("no example is undetermined: what if the job leaves a value out?")
	}
	if !seen[review.NotApplicable] && (c.WhenText != "" || len(c.Silent) > 0) {
		say("no example to which the check does not apply")
	}
	if c.Measure != "" && !(held[review.Met] && held[review.NotMet]) {
		say("no example on each side of the limit")
	}
	return out
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
