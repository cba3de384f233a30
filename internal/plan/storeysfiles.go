package plan

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/sheets"
)

// picturePrefix begins the name of every picture of the storeys.
const picturePrefix = "storeys-"

// WriteStoreys makes the sheets and pictures of the storeys of a plan in dir, with the
// building after some steps (from 1) besides the worst ones, and gives their paths. All
// are made before the first is written. Pictures of an earlier run go: they would show
// another work.
func WriteStoreys(doc *deck.Document, dir string, after ...int) ([]string, error) {
	steps := make([]int, len(after))
	for i, n := range after {
		steps[i] = n - 1
	}
	pdf, err := sheets.StoreysPDF(doc, doc.Storeys, steps...)
	if err != nil {
		return nil, fmt.Errorf("storeys.pdf cannot be made: %w", err)
	}
	pictures, err := sheets.StoreyPictures(doc, doc.Storeys, steps...)
	if err != nil {
		return nil, fmt.Errorf("the pictures of the storeys cannot be made: %w", err)
	}
	data, err := JSON(doc.Storeys)
	if err != nil {
		return nil, err
	}
	if err := Folder(dir); err != nil {
		return nil, err
	}
	var paths []string
	write := func(name string, data []byte) error {
		path := filepath.Join(dir, name)
		paths = append(paths, path)
		return WriteFile(path, data)
	}
	if err := write("storeys.pdf", pdf); err != nil {
		return nil, err
	}
	if err := write("storeys.json", data); err != nil {
		return nil, err
	}
	for _, p := range pictures {
		if err := write(picturePrefix+p.Name, p.SVG); err != nil {
			return nil, err
		}
	}
	old, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("pictures of an earlier run cannot be looked for: %w", err)
	}
	for _, f := range old {
		path := filepath.Join(dir, f.Name())
		if ok, _ := filepath.Match(picturePrefix+"*.svg", f.Name()); ok && !slices.Contains(paths, path) {
			if err := os.Remove(path); err != nil {
				return nil, fmt.Errorf("%s of an earlier run cannot be taken away: %w", f.Name(), err)
			}
		}
	}
	return paths, nil
}
