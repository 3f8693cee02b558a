package layout

import (
	"errors"
	"fmt"
	"slices"
)

// Rail is one continuous rail: a run of modules on a line with feet, with what
// stands out at both ends. Places are along the rows in the array frame, m.
type Rail struct {
	Run      int
	From, To float64
	Feet     []float64 // in order along the rail
}

// Rails gives the rails of a mounting on rails, in order of the lines: one below
// each run that has feet. past is how far a rail stands out past its first and
// last module, m, negative being an error. A hole or a thermal break ends a
// rail; other mountings have none.
func (s *Supports) Rails(past float64) ([]Rail, error) {
	if err := wantAtLeastZero("the end of a rail past its last module", past); err != nil {
		return nil, err
	}
	if s.Mount.Support != Rails {
		return nil, nil
	}
	var rails []Rail
	for r, run := range s.Runs {
		if len(run.Feet) == 0 {
			continue
		}
		rails = append(rails, Rail{Run: r, From: run.From - past, To: run.To + past, Feet: s.Along(run)})
	}
	return rails, nil
}

// SpliceRule is where the maker of a rail allows splices, metres. None may stand
// in an overhang.
type SpliceRule struct {
	Least    float64 // distance of the middle of a splice from the nearest foot, at least
	Most     float64 // and at most
	EndSpans bool    // the first and the last span take splices too
}

func (r SpliceRule) valid() error {
	if err := errors.Join(wantAtLeastZero("the least distance of a splice from a foot", r.Least), wantPositive("the largest distance of a splice from a foot", r.Most)); err != nil {
		return err
	}
	if r.Most < r.Least {
		return fmt.Errorf("a splice is to stand at least %.4f m and at most %.4f m from a foot", r.Least, r.Most)
	}
	return nil
}

// Unspliced is the longest stretch of the rail, m, that has no place inside it
// where a splice may stand: its whole length where there is none at all. Pieces
// of a length can be joined to the rail, cut as needed, where it is no longer
// than one piece.
//
// It is an error when the rule allows no distance or is not a number, or when
// the feet are not in order.
func (r Rail) Unspliced(rule SpliceRule) (float64, error) {
	if err := rule.valid(); err != nil {
		return 0, err
	}
	if !slices.IsSorted(r.Feet) {
		return 0, errors.New("the feet of the rail are not in order")
	}
	longest, last := 0.0, r.From
	allow := func(from, to float64) {
		if from <= to+touch {
			longest, last = max(longest, from-last), max(last, to)
		}
	}
	for k := 1; k < len(r.Feet); k++ {
		if !rule.EndSpans && (k == 1 || k == len(r.Feet)-1) {
			continue
		}
		left, right := r.Feet[k-1], r.Feet[k]
		middle := (left + right) / 2
		allow(left+rule.Least, min(left+rule.Most, middle))
		allow(max(right-rule.Most, middle), right-rule.Least)
	}
	return max(longest, r.To-last), nil
}
