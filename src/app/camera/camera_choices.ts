/** How the builder likes the camera; stays for as long as the page lives. */
export const chosen = { automatic: true, sound: true };
