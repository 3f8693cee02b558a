package review

import (
	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
)

// Ahead is what a job would be asked once its editions are stated. A check whose
// code has no edition waits for that alone and does not tell what else it reads.
type Ahead struct {
	Editions []job.Edition // those that stand in for what it leaves out, in the order of the job file; none is the job's
	Missing  []*Missing    // what the review does not ask for yet
}

// Ahead reviews the job once more under editions that stand in for those it
// waits for: of each code the newest that most of its checks are written for.
// It is nil where the review waits for no edition. Nothing of that
// review but what it asks for is given, since its verdicts are not the job's.
func (r *Review) Ahead() (*Ahead, error) {
	asked := map[string]bool{}
	for _, m := range r.Missing() {
		asked[m.Need.String()] = true
	}
	out := &Ahead{}
	next := r
	for range job.Codes { // each round settles a code at least
		var more []job.Edition
		for _, code := range codesMissing(next) {
			if e := newestWritten(r.Book, code); e != "" {
				more = append(more, job.Edition{Code: code, Edition: e})
			}
		}
		if len(more) == 0 {
			break
		}
		out.Editions = append(out.Editions, more...)
		var err error
		if next, err = Run(r.Job.Adopting(out.Editions), r.Book, r.Model.Tables, Options{Only: r.ran}); err != nil {
			return nil, err
		}
	}
	if len(out.Editions) == 0 {
		return nil, nil
	}
	for _, m := range next.Missing() {
		if !asked[m.Need.String()] {
			out.Missing = append(out.Missing, m)
		}
	}
	return out, nil
}

// codesMissing lists the codes whose edition a review waits for, in the order of
// the job file; but for NFPA 1, which an authority adopts in the place of the IFC.
func codesMissing(r *Review) (out []job.Code) {
	keys := map[string]bool{}
	for _, m := range r.Missing() {
		for _, key := range m.Need.Keys {
			keys[key] = key != "adoption.nfpa1"
		}
	}
	for _, c := range job.Codes {
		if keys[job.Join("adoption", c.Key)] {
			out = append(out, c)
		}
	}
	return out
}

// newestWritten is the newest edition of a code that most of the checks that
// cite the code are written for; "" where there is none.
func newestWritten(book *codebook.Codebook, code job.Code) string {
	citing, checks := 0, map[string]int{}
	for _, c := range book.Checks {
		seen := map[string]bool{}
		for _, cite := range c.Cites {
			if cite.Code != code.Name {
				continue
			}
			for _, e := range cite.Editions {
				if !seen[e] {
					seen[e] = true
					checks[e]++
				}
			}
		}
		if len(seen) > 0 {
			citing++
		}
	}
	newest := ""
	for e, n := range checks {
		if 2*n > citing {
			newest = max(newest, e)
		}
	}
	return newest
}
