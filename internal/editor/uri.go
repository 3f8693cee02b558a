package editor

import (
	"net/url"
	"path"
	"strings"
)

// pathOf is the path of a file by its URI, with forward slashes: "/home/a b.toml",
// "C:/jobs/barn.toml", "//server/share/barn.toml". A document that is no file
// ("untitled:1") has its URI for a path.
func pathOf(uri string) string {
	u, err := url.Parse(uri)
	if err != nil || !strings.EqualFold(u.Scheme, "file") {
		return uri
	}
	p := path.Clean("/" + u.Path)
	if len(p) >= 3 && p[2] == ':' && isLetter(p[1]) && (len(p) == 3 || p[3] == '/') {
		return strings.ToUpper(p[1:2]) + p[2:] // a drive; the case of its letter says nothing
	}
	if u.Host != "" && u.Host != "localhost" {
		return "//" + u.Host + p
	}
	return p
}

// uriOf is the URI of a file.
func uriOf(p string) string {
	switch {
	case strings.HasPrefix(p, "//"):
		host, rest, _ := strings.Cut(p[2:], "/")
		return (&url.URL{Scheme: "file", Host: host, Path: "/" + rest}).String()
	case len(p) >= 2 && p[1] == ':' && isLetter(p[0]):
		return (&url.URL{Scheme: "file", Path: "/" + p}).String()
	case strings.HasPrefix(p, "/"):
		return (&url.URL{Scheme: "file", Path: p}).String()
	}
	return p // it came from such a URI
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
