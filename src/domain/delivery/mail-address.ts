/**
 * Whether a text is one plain mail address: nothing in it can end a line, name a second address, or be read as a command.
 * @source WHATWG HTML, "valid e-mail address"; lengths RFC 5321, section 4.5.3.1
 */
export function isMailAddress(text: string): boolean {
  if (text.length > 254) return false;
  return /^[a-zA-Z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[a-zA-Z0-9]([a-zA-Z0-9-]{0,61}[a-zA-Z0-9])?(\.[a-zA-Z0-9]([a-zA-Z0-9-]{0,61}[a-zA-Z0-9])?)*$/.test(
    text,
  );
}
