package review

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
)

// hashLength is how many hexadecimal digits tell what one outcome read from what
// another did.
const hashLength = 24

// ReadHash is a hash of what an outcome read of the job: the keys and their values,
// with those that are left out. It tells unchanged from changed and nothing else. The
// form of the file, the units and patterns that values are written with and the order
// of tables make no difference to it, nor do the rules.
func (r *Review) ReadHash(o *Outcome) string {
	var lines []string
	for _, read := range o.Reads() {
		lines = append(lines, read.Key+"\x00"+r.Job.ValueOf(read.Key)+"\n")
	}
	slices.Sort(lines)
	sum := sha256.New()
	for _, line := range lines {
		sum.Write([]byte(line)) // a hash does not fail
	}
	return hex.EncodeToString(sum.Sum(nil))[:hashLength]
}
