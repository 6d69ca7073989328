const superscripts = '⁰¹²³⁴⁵⁶⁷⁸⁹';
const subscripts = '₀₁₂₃₄₅₆₇₈₉';
const digitsOf = (text: string): string =>
  Array.from(text, (sign) => {
    const raised = superscripts.indexOf(sign);
    const value = raised >= 0 ? raised : subscripts.indexOf(sign);
    return value >= 0 ? String(value) : sign;
  }).join('');

/** A decimal digit of any script as 0 to 9: Unicode lays the ten of each script out in a row. */
function plainDigit(sign: string): string {
  const code = sign.codePointAt(0)!;
  let zero = code;
  while (code - zero < 9 && /\p{Nd}/u.test(String.fromCodePoint(zero - 1))) zero--;
  return String(code - zero);
}

/** The full-width forms of East Asian type lie one fixed step from ASCII (Unicode, U+FF01 to U+FF5E). */
const fullWidthStep = 0xfee0;

/**
 * What people type and paste brought to the plain signs that lengths are read by: digits of every script, fractions as
 * one sign (⅜), as raised and lowered digits (³⁄₈) or with the fraction slash, typographic spaces, dashes, quotes and
 * primes. Raised digits outside a fraction are left as they are: they are no part of a length. A sign that was lost in
 * copying (U+FFFD) stays, so that it can be told.
 */
export function plainSigns(text: string): string {
  return (
    text
      .replace(/[\uff01-\uff5e]/g, (sign) => String.fromCharCode(sign.charCodeAt(0) - fullWidthStep))
      // "½" in UTF-8 taken for Latin-1 becomes "Â½"
      .replace(/\u00c2(?=[¼½¾])/g, '')
      .replace(/[⁰¹²³⁴-⁹]+\s*[/⁄∕]\s*[₀-₉\d]+/g, (fraction) => ` ${digitsOf(fraction)}`)
      .replace(/\d+\s*[/⁄∕]\s*[₀-₉]+/g, digitsOf)
      .replace(/⅟\s*(?=\d)/g, ' 1/')
      .replace(/[½⅓⅔¼¾⅕-⅞⅐-⅒]/g, (sign) => ` ${sign.normalize('NFKC')} `)
      .replace(/[\u2044\u2215]/g, '/')
      .replace(/\u066b/g, '.')
      .replace(/\u066c/g, "'")
      .replace(/(?!\d)\p{Nd}/gu, plainDigit)
      .replace(/[\u2010-\u2015\u2212\ufe63]/g, '-')
      .replace(/[\u2033\u201c\u201d\u201f\u3003]|''|[\u2032\u2019]{2}/g, '"')
      .replace(/[\u2032\u2019\u02b9\u00b4]/g, "'")
      .replace(/[\s\u00a0\u2000-\u200a\u202f\u2060\ufeff]+/g, ' ')
      .trim()
  );
}
