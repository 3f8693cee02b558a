package terms

import (
	"fmt"
	"sync"

	"plumbrule/internal/bound"
	"plumbrule/internal/source"
)

// spending is what the rules of a third party cost in a review, and what went
// wrong in them. A rule is a file.
type spending struct {
	mu     sync.Mutex
	by     map[*source.File]uint64
	total  uint64
	spent  bool
	blamed map[source.Span]bool
	faults source.Faults
}

// Spend notes that an expression of a rule of a third party took some steps; false
// where that rule, or all of them together, have taken more than a review allows.
// From then on none of them goes on.
func (m *Model) Spend(at source.Span, steps uint64) bool {
	s := &m.spending
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.by == nil {
		s.by = map[*source.File]uint64{}
	}
	s.by[at.File] += steps
	s.total += steps
	if s.spent {
		return false
	}
	const expected = "a rule that looks at what its own subject is about"
	switch {
	case s.by[at.File] > bound.CheckCost:
		s.blame(source.Fault{At: at, Message: fmt.Sprintf("the rule takes more than %d steps over all its subjects, of which there are many in this job", bound.CheckCost), Expected: expected})
	case s.total > bound.ReviewCost:
		s.blame(source.Fault{At: at, Message: fmt.Sprintf("the rules from outside take more than %d steps together", bound.ReviewCost), Expected: expected})
	default:
		return true
	}
	s.spent = true
	return false
}

// Spent reports whether rules of third parties may not go on.
func (m *Model) Spent() bool {
	m.spending.mu.Lock()
	defer m.spending.mu.Unlock()
	return m.spending.spent
}

// Blame keeps what went wrong in a rule of a third party, once for each place.
func (m *Model) Blame(f source.Fault) {
	m.spending.mu.Lock()
	defer m.spending.mu.Unlock()
	m.spending.blame(f)
}

func (s *spending) blame(f source.Fault) {
	if s.blamed == nil {
		s.blamed = map[source.Span]bool{}
	}
	if !s.blamed[f.At] {
		s.blamed[f.At] = true
		s.faults = append(s.faults, f)
	}
}

// Faults is what went wrong in rules of third parties; nil for nothing. A review
// in which that happened does not stand.
func (m *Model) Faults() error {
	m.spending.mu.Lock()
	defer m.spending.mu.Unlock()
	return m.spending.faults.Err()
}
