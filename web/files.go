package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"net/http"
	"path"
	"time"
)

//go:embed page
var embedded embed.FS

// A file is one of the page's, as it is sent.
type file struct {
	content []byte
	kind    string
	tag     string
}

// files are all that can be asked for, by their address: a request names a key of this
// table and never a file.
var files = load()

// kinds of files, by the ends of their names: the system's own table may say otherwise.
var kinds = map[string]string{
	".html": "text/html; charset=utf-8",
	".css":  "text/css; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".svg":  "image/svg+xml",
}

func load() map[string]file {
	const folder = "page"
	all := map[string]file{}
	entries, err := embedded.ReadDir(folder)
	if err != nil {
		panic(err) // the program was built without it
	}
	for _, e := range entries {
		b, err := embedded.ReadFile(path.Join(folder, e.Name()))
		if err != nil {
			panic(err)
		}
		kind, ok := kinds[path.Ext(e.Name())]
		if !ok {
			panic("web: " + e.Name() + " is of no known kind")
		}
		at := "/" + e.Name()
		if e.Name() == "index.html" {
			at = "/"
		}
		all[at] = newFile(b, kind)
	}
	return all
}

func newFile(content []byte, kind string) file {
	sum := sha256.Sum256(content)
	return file{content, kind, `"` + hex.EncodeToString(sum[:12]) + `"`}
}

func (f file) serve(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", f.kind)
	w.Header().Set("ETag", f.tag)
	w.Header().Set("Cache-Control", "no-cache") // asked for again, and seldom sent
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(f.content))
}
