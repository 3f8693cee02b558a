package wording

import (
	"plumbrule/internal/codebook"
)

// MadeWith says in words for people which rule set and which program a report was
// made with, the rule set first; a version that is not known is left out.
func MadeWith(version string, b *codebook.Codebook) string {
	made := "rule set " + ShortHash(b.Hash) + ", plumbrule"
	if version != "" {
		made += " " + version
	}
	return made
}

// hashInWords is how much of a hash people are shown: enough to tell two apart.
const hashInWords = 12

// ShortHash is a hash for people. What machines read has all of it.
func ShortHash(hash string) string { return hash[:min(hashInWords, len(hash))] }
