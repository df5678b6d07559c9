package visit

import (
	"errors"
	"io/fs"
	"syscall"
)

// fileAdvice tells what to do about an error of the file system.
func fileAdvice(err error) string {
	switch {
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return codeAdvice(codeReadOnly, "")
	case errors.Is(err, syscall.ENOSPC):
		return codeAdvice(codeFull, "")
	case errors.Is(err, syscall.ENOTDIR), errors.Is(err, syscall.EISDIR):
		return " (give another --data folder)"
	}
	return ""
}
