package coupon

import (
	"fmt"
	"regexp"
	"strings"
)

// EditCard returns a card's text with new values, under a new id and with a
// version of its own; all else, comments too, stays as it is. Errors: a value
// that the text gives in another form than key = { is = …, source = … } on one
// line.
func EditCard(text, id, date string, changes []Change) (string, error) {
	text, err := replaceLine(text, `(?m)^id[ \t]*=.*$`, fmt.Sprintf("id = %q", id))
	if err != nil {
		return "", fmt.Errorf("the card has no line id = …")
	}
	if text, err = replaceLine(text, `(?m)^version[ \t]*=[ \t]*"([^"]*)".*$`, `version = "${1}, tuned"`); err != nil {
		return "", fmt.Errorf("the card has no line version = …")
	}
	for _, c := range changes {
		stamp := ""
		if date != "" {
			stamp = fmt.Sprintf(", date = %q", date)
		}
		line := fmt.Sprintf("%s = { is = %q, source = %q%s }", c.Key, c.Is, c.Source, stamp)
		changed, err := replaceLine(text, `(?m)^`+regexp.QuoteMeta(c.Key)+`[ \t]*=[ \t]*\{[^\n]*\}[ \t]*$`, strings.ReplaceAll(line, "$", "$$"))
		if err != nil {
			if regexp.MustCompile(`(?m)^[ \t]*(value\.)?` + regexp.QuoteMeta(c.Key) + `[ \t]*=`).MatchString(text) {
				return "", fmt.Errorf("the card gives %s in a form that is not changed by itself; write it as %s", c.Key, line)
			}
			if changed, err = replaceLine(text, `(?m)^\[value\][ \t]*$`, "[value]\n"+line); err != nil {
				return "", fmt.Errorf("the card has no table [value]")
			}
		}
		text = changed
	}
	return text, nil
}

// replaceLine replaces the first match.
func replaceLine(text, pattern, by string) (string, error) {
	re := regexp.MustCompile(pattern)
	at := re.FindStringSubmatchIndex(text)
	if at == nil {
		return "", fmt.Errorf("no match")
	}
	return text[:at[0]] + string(re.ExpandString(nil, by, text, at)) + text[at[1]:], nil
}
