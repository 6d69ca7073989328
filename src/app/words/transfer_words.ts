/** What is said of a build taken from a file or saved as one. */
export const transferWords = {
  alreadyHere: (title: string) => `“${title}” is already here, just as it is in the file.`,
  copyTitle: (title: string) => `${title} (from a file)`,
  leftOut: (names: string[]) =>
    `The zip is saved without ${names.join(', ')}: where ${names.length === 1 ? 'it was' : 'they were'} taken could not be removed from ${names.length === 1 ? 'it' : 'them'}. Save ${names.length === 1 ? 'it' : 'them'} as JPEG to take ${names.length === 1 ? 'it' : 'them'} along.`,
};
