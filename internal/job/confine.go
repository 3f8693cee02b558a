package job

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
)

// errOutside refuses what a job may not read. It says nothing of what is there,
// or whether anything is.
var errOutside = errors.New("it leads out of the folder of the job; --allow-outside DIR lets a job read from there")

// Confined reads through open what stands in one of the folders, and nothing
// else: where a path leads is looked at once every link on the way is followed.
// A job of a stranger could otherwise name any file of the machine, and what is
// wrong with that file would tell what it holds.
func Confined(folders []string, open Open) Open {
	roots := make([]string, 0, len(folders))
	for _, f := range folders {
		if real, err := real(f); err == nil {
			roots = append(roots, real)
		}
	}
	return func(path string) ([]byte, error) {
		at, err := real(path)
		if err != nil {
			return nil, errOutside
		}
		for _, root := range roots {
			if at == root || strings.HasPrefix(at, strings.TrimSuffix(root, string(filepath.Separator))+string(filepath.Separator)) {
				return open(path)
			}
		}
		return nil, errOutside
	}
}

// real is where a path leads: whole, with the links followed of as much of it as
// there is.
func real(path string) (string, error) {
	whole, err := filepath.Abs(filepath.FromSlash(path))
	if err != nil {
		return "", err
	}
	rest := ""
	for at := whole; ; at = filepath.Dir(at) {
		found, err := filepath.EvalSymlinks(at)
		if err == nil {
			return filepath.Join(found, rest), nil
		}
		if _, err := os.Lstat(at); err == nil || filepath.Dir(at) == at {
			return "", errOutside // a link to nothing, or no way to look
		}
		rest = filepath.Join(filepath.Base(at), rest)
	}
}

// LoadConfined decodes the job in a file with its includes. The file is read
// through open wherever it is; what it names, only from its folder and from
// those that are allowed besides.
func LoadConfined(path string, allowed []string, open Open) (*Tree, error) {
	path = filepath.ToSlash(path) // names read the same in reports of every system
	text, err := open(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	return Read(path, text, Confined(append([]string{filepath.Dir(filepath.FromSlash(path))}, allowed...), open))
}
