/** The rules of a `_headers` file, as static hosts read it: by path, the headers that go with it. */
export function readHeaders(text: string): Map<string, [name: string, value: string][]> {
  const rules = new Map<string, [string, string][]>();
  let headers: [string, string][] = [];
  for (const line of text.split('\n')) {
    if (line.startsWith('/')) {
      headers = [];
      rules.set(line.trim(), headers);
    } else if (line.includes(':')) {
      const at = line.indexOf(':');
      headers.push([line.slice(0, at).trim(), line.slice(at + 1).trim()]);
    }
  }
  return rules;
}
