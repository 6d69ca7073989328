/**
 * Rows as comma-separated values (RFC 4180). A text that begins like a formula is marked as a text for spreadsheets.
 */
export const csvText = (rows: readonly (readonly string[])[]): string =>
  rows.map((row) => `${row.map((text) => quoted(asText(text))).join(',')}\r\n`).join('');

const asText = (text: string) => (/^[=@]|^[+-](?![\d.])/.test(text) ? `'${text}` : text);
const quoted = (text: string) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
