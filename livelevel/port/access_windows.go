package port

import "os"

func mayAccess(string, os.FileInfo) bool { return true }
