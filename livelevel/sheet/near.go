package sheet

// Nearest returns the known word that a mistyped one most likely meant, "" when none is near:
// at most a third of its letters differ, two of them swapped counting as one.
func Nearest(word string, known []string) string {
	best, bestD := "", 1+max(1, len(word)/3)
	if word == "" || len(word) > 64 {
		return ""
	}
	for _, k := range known {
		if d := distance(word, k); d < bestD {
			best, bestD = k, d
		}
	}
	return best
}

// distance is the edit distance with swaps of neighbours (optimal string alignment).
func distance(a, b string) int {
	prev2, prev, cur := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(b)]
}
