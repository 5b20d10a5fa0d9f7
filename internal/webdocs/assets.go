package webdocs

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"

	"saltwright/internal/chart"
	"saltwright/internal/drawing"
)

const assetPath = "/docs/assets/"

//go:embed assets
var assetFiles embed.FS

// assets are the site's own files, under names that hold their hash.
type assets struct {
	byName map[string]*file  // name with its hash -> file
	named  map[string]string // name -> name with its hash
}

func loadAssets() (*assets, error) {
	a := &assets{map[string]*file{}, map[string]string{}}
	err := fs.WalkDir(assetFiles, "assets", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := assetFiles.ReadFile(name)
		if err != nil {
			return err
		}
		if name == "assets/site.css" {
			data = append(data, chart.Style...)
		}
		if name == "assets/workshop.css" {
			data = append(data, drawing.Style...)
		}
		sum := sha256.Sum256(data)
		ext := path.Ext(name)
		media := mime.TypeByExtension(ext)
		if media == "" {
			return fmt.Errorf("webdocs: %s: no media type for %s", name, ext)
		}
		base := path.Base(name)
		hashed := strings.TrimSuffix(base, ext) + "." + hex.EncodeToString(sum[:8]) + ext
		a.byName[hashed], a.named[base] = newFile(media, "public, max-age=31536000, immutable", data), hashed
		return nil
	})
	return a, err
}

// address is where a file is served; an unknown name is a mistake of ours that a template reports.
func (a *assets) address(name string) (string, error) {
	hashed, ok := a.named[name]
	if !ok {
		return "", fmt.Errorf("no asset %s", name)
	}
	return assetPath + hashed, nil
}

func (a *assets) serve(w http.ResponseWriter, r *http.Request) {
	f := a.byName[r.PathValue("file")]
	if f == nil {
		http.NotFound(w, r)
		return
	}
	f.serve(w, r)
}
