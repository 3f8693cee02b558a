package job

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"slices"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Paper is the file of a document: the paper itself, as it lies beside the job.
type Paper struct {
	Name string // its path, as files of the job are named
	Sum  string // SHA-256 in lower-case hexadecimal
	Data []byte
}

// PDF reports whether its first bytes say that it is a PDF, which may have text.
func (p *Paper) PDF() bool {
	return strings.Contains(string(p.Data[:min(len(p.Data), 1024)]), "%PDF-")
}

// paperEndings are the files that a paper may be.
var paperEndings = []string{".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff"}

// isPaper reports whether a path names a file that is read as a paper, whose
// bound is not that of what is decoded.
func isPaper(name string) bool {
	return slices.Contains(paperEndings, strings.ToLower(path.Ext(name)))
}

// papers reads the files of documents. Those that the job has twice are read once.
func (b *binder) papers() {
	read := map[string]*Paper{}
	total := 0
	for i := range b.job.Documents {
		d := &b.job.Documents[i]
		b.sum(d)
		if !d.File.Known {
			continue
		}
		name := d.File
		at, problem := relative(name.At.File, name.Value)
		if problem == "" && !isPaper(at) {
			ending := strings.ToLower(path.Ext(at))
			near, _ := quantity.Nearest(ending, paperEndings)
			b.fault(source.Fault{At: name.At, Path: name.Key, Message: fmt.Sprintf("%s: %q is no paper that can be read", name.Key, shorten(name.Value)),
				Expected: "a file that ends in " + strings.Join(paperEndings, ", ") + " is expected", Nearest: near})
			continue
		}
		if problem != "" {
			b.add(name.At, name.Key, "a file beside the job is expected", "%s: %q %s", name.Key, shorten(name.Value), problem)
			continue
		}
		if d.Paper = read[at]; d.Paper != nil {
			continue
		}
		data, err := b.open(at)
		switch total += len(data); {
		case err != nil:
			b.add(name.At, name.Key, "", "%s: %q: %s", name.Key, shorten(name.Value), reason(err))
		case len(data) == 0:
			b.add(name.At, name.Key, "", "%s: %q: the file is empty", name.Key, shorten(name.Value))
		case len(data) > bound.PaperBytes:
			b.add(name.At, name.Key, fmt.Sprintf("at most %d MiB are read", bound.PaperBytes>>20), "%s: %q: the file is too large", name.Key, shorten(name.Value))
		case total > bound.AllPaperBytes:
			b.add(name.At, name.Key, fmt.Sprintf("at most %d MiB are read", bound.AllPaperBytes>>20), "%s: %q: with this file the papers of the job are too large", name.Key, shorten(name.Value))
			return
		default:
			sum := sha256.Sum256(data)
			d.Paper = &Paper{Name: at, Sum: hex.EncodeToString(sum[:]), Data: data}
			read[at] = d.Paper
		}
	}
}

// sum refuses what is no SHA-256, or one of no file, so that a slip does not pass
// as a paper that was exchanged, nor a key without a file as one that was compared.
func (b *binder) sum(d *Document) {
	if !d.SHA256.Known {
		return
	}
	text := strings.ToLower(strings.TrimSpace(d.SHA256.Value))
	if raw, err := hex.DecodeString(text); err != nil || len(raw) != sha256.Size {
		b.add(d.SHA256.At, d.SHA256.Key, "64 hexadecimal digits are expected", "%s: %q is no SHA-256", d.SHA256.Key, shorten(d.SHA256.Value))
		return
	}
	if !d.File.Known {
		b.add(d.SHA256.At, d.SHA256.Key, "the key file beside it is expected", "%s: there is no file that it is of", d.SHA256.Key)
	}
	d.SHA256.Value = text
}
