package visit

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"

	"example.org/tankhand/livelevel/feed"
)

// safeName is what a capture may be called: the name comes from a bundle, and a bundle from anybody.
var safeName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,120}$`)

// SaveCaptures returns a sink that writes captures into a folder, each under its own name and, where
// another file has that name, with the beginning of its hash in front. A file that does not agree
// with its hash is not kept.
func SaveCaptures(folder string) CaptureSink {
	var part *os.File
	return func(name, sum string, offset int64, data []byte, last bool) error {
		if !safeName.MatchString(name) {
			return fmt.Errorf("a capture is called %.60q, which is no plain file name", name)
		}
		if offset == 0 {
			if err := os.MkdirAll(folder, 0o700); err != nil {
				return err
			}
			f, err := os.CreateTemp(folder, ".import-*") // 0600
			if err != nil {
				return err
			}
			part = f
		}
		if part == nil {
			return fmt.Errorf("capture %s does not begin at its beginning", name)
		}
		_, err := part.WriteAt(data, offset)
		if err == nil && !last {
			return nil
		}
		f := part
		part = nil
		return errors.Join(err, keepCapture(f, folder, name, sum))
	}
}

func keepCapture(f *os.File, folder, name, sum string) error {
	defer os.Remove(f.Name()) // nothing is there any more when it was kept
	err := errors.Join(f.Sync(), f.Close())
	if err != nil {
		return err
	}
	if got, err := hashFile(f.Name(), -1); err != nil || got != sum {
		return errors.Join(fmt.Errorf("capture %s does not agree with its hash", name), err)
	}
	target := filepath.Join(folder, name)
	switch there, err := hashFile(target, -1); {
	case err == nil && there == sum:
		return nil
	case err == nil:
		target = filepath.Join(folder, sum[:12]+"-"+name)
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return os.Rename(f.Name(), target)
}

// hashFile is the SHA-256 of the first n bytes of a file, of all of it when n is negative.
func hashFile(path string, n int64) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if n < 0 {
		_, err = io.Copy(sum, f)
	} else {
		_, err = io.CopyN(sum, f, n)
	}
	return hex.EncodeToString(sum.Sum(nil)), err
}

// FindCapture is the file that a citation means: where it was written, or in the folder of captures
// after an import; it agrees with the cited hash.
func FindCapture(folder string, c feed.Citation) (string, error) {
	base := filepath.Base(c.Path)
	tries := []string{c.Path, filepath.Join(folder, base)}
	if len(c.SHA256) >= 12 {
		tries = append(tries, filepath.Join(folder, c.SHA256[:12]+"-"+base))
	}
	for _, path := range tries {
		if sum, err := hashFile(path, c.Length); err == nil && sum == c.SHA256 {
			return path, nil
		}
	}
	return "", fmt.Errorf("finding the capture %s: no file there or in %s has the cited %d bytes (import it with its visit)", c.Path, folder, c.Length)
}

// RemoveCaptures deletes captures of an erased visit, in the folder of captures alone and only where
// the hash agrees: a citation may come from a stranger's bundle. It returns what was deleted.
func RemoveCaptures(folder string, cs []feed.Citation) (removed []string, err error) {
	for _, c := range cs {
		path, missing := FindCapture(folder, feed.Citation{Path: filepath.Join(folder, filepath.Base(c.Path)), Length: c.Length, SHA256: c.SHA256})
		if missing != nil {
			continue // gone already
		}
		if e := os.Remove(path); e != nil {
			err = errors.Join(err, fmt.Errorf("deleting the capture %s: %w (delete it by hand)", path, e))
			continue
		}
		removed = append(removed, path)
	}
	return removed, err
}

// Attach cites a file for a note: its hash shows later that it is the same.
func Attach(path string) (Attachment, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = errors.New("it is no ordinary file")
	}
	sum := ""
	if err == nil {
		sum, err = hashFile(path, -1)
	}
	if err != nil {
		return Attachment{}, fmt.Errorf("attaching %s: %w", path, err)
	}
	return Attachment{Path: path, Length: info.Size(), SHA256: sum}, nil
}
