package webdocs

import (
	"net/http"
	"strconv"
	"strings"
)

// snippet is one request in one language, whole: it runs as it stands.
type snippet struct{ Language, Code string }

// snippetsOf writes a request in the languages that the pages speak. A body is JSON.
func snippetsOf(method, address, body string) []snippet {
	return []snippet{
		{"curl", curlOf(method, address, body)}, {"JavaScript", scriptOf(method, address, body)},
		{"Go", goOf(method, address, body)}, {"Python", pythonOf(method, address, body)},
	}
}

func curlOf(method, address, body string) string {
	if method == http.MethodGet {
		return `curl "` + address + `" -H "Accept: application/json"`
	}
	body = strings.ReplaceAll(body, "'", `'\''`)
	return `curl "` + address + `" -H "Content-Type: application/json" -d '` + body + `'`
}

func scriptOf(method, address, body string) string {
	options := `{ headers: { Accept: "application/json" } }`
	if method == http.MethodPost {
		options = "{\n  method: \"POST\",\n  headers: { \"Content-Type\": \"application/json\" },\n" +
			"  body: JSON.stringify(" + body + "),\n}"
	}
	return `const response = await fetch(` + strconv.Quote(address) + `, ` + options + `);
const answer = await response.json();
if (!response.ok) throw new Error(answer.detail);
console.log(JSON.stringify(answer, null, 2));
`
}

func goOf(method, address, body string) string {
	payload, head, extra := "nil", `	request.Header.Set("Accept", "application/json")`, ""
	if method == http.MethodPost {
		payload, head = "strings.NewReader(body)", `	request.Header.Set("Content-Type", "application/json")`
		extra = "\nconst body = `" + strings.ReplaceAll(body, "`", "` + \"`\" + `") + "`\n"
	}
	imports := "\t\"fmt\"\n\t\"io\"\n\t\"log\"\n\t\"net/http\"\n"
	if method == http.MethodPost {
		imports += "\t\"strings\"\n"
	}
	return `package main

import (
` + imports + `)
` + extra + `
func main() {
	request, err := http.NewRequest(` + strconv.Quote(method) + `, ` + strconv.Quote(address) + `, ` + payload + `)
	if err != nil {
		log.Fatal(err)
	}
` + head + `
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		log.Fatal(err)
	}
	defer response.Body.Close()
	answer, err := io.ReadAll(response.Body)
	if err != nil {
		log.Fatal(err)
	}
	if response.StatusCode != http.StatusOK {
		log.Fatal(string(answer))
	}
	fmt.Println(string(answer))
}
`
}

func pythonOf(method, address, body string) string {
	data, headers := "", `{"Accept": "application/json"}`
	if method == http.MethodPost {
		data, headers = "\n    data=body.encode(),", `{"Content-Type": "application/json"}`
		body = "body = " + strconv.Quote(body) + "\n"
	} else {
		body = ""
	}
	return `import json
import urllib.request

` + body + `request = urllib.request.Request(
    ` + strconv.Quote(address) + `,` + data + `
    headers=` + headers + `,
)
with urllib.request.urlopen(request) as response:
    answer = json.load(response)
print(json.dumps(answer, indent=2, ensure_ascii=False))
`
}
