package review

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// hashLength is how many hexadecimal digits tell what one outcome read from what
// another did.
const hashLength = 24

// ReadHash is a hash of what an outcome read of the job: the keys and their values,
// with those that are left out. It tells unchanged from changed and nothing else. The
// form of the file, the units and patterns that values are written with and the order
// of tables make no difference to it, nor do the rules.
func (r *Review) ReadHash(o *Outcome) string {
	lines := map[string]bool{}
	decided := map[string]bool{}
	if o.by != nil {
		for _, read := range o.by.Reads() {
			decided[read.Key] = true
			lines[read.Key+"\x00"+r.Job.ValueOf(read.Key)] = true
		}
	}
	// A condition is settled by the first thing of which it holds, whichever that is
	// in the order of the file: what else it read goes without names.
	for _, read := range terms.ReadsOf(o.rests...) {
		if decided[read.Key] {
			continue
		}
		key := nameless(read.Key)
		if strings.HasPrefix(read.Key, o.Subject.Key+".") {
			key = read.Key
		}
		lines[key+"\x00"+r.Job.ValueOf(read.Key)] = true
	}
	sum := sha256.New()
	for _, line := range slices.Sorted(maps.Keys(lines)) {
		sum.Write([]byte(line + "\n")) // a hash does not fail
	}
	return hex.EncodeToString(sum.Sum(nil))[:hashLength]
}

// nameless is a key without the name of the thing that it is of: what is left of it
// are its list and its own words.
func nameless(key string) string {
	parts, ok := job.SplitKey(key)
	if !ok || len(parts) < 3 {
		return key
	}
	return parts[0] + "..." + strings.Join(parts[2:], ".")
}
