/** What changed, newest first, in words a builder can use. A change that a builder meets gets a line here. */
export const changelogWords = {
  title: 'What changed lately',
  kinds: {
    new: {
      title: 'New',
      lines: [
        'Your camera’s lens, made once from a dozen photos of two pages and kept: one photo then tells places better.',
        'The camera takes the photos by itself as you walk along the rod, and runs the check at the end.',
        'Photos are measured as they come in: the rod above fills with its picture, and the camera leads to guides by name.',
        'A video of a slow walk gives photos too: its frames are chosen, and the choice can be changed.',
        'A mat that stays taped down can be kept: it need not be worked out anew with every rod, and a page that moved is named.',
        'The bare blank is measured: length, thickness, bow and what sits on it; the plan takes over what you tick.',
        'Wrapped guides are checked too, before the epoxy goes on.',
        'Tip-tops, snake guides and planned rolls; distances may count from the tip-top.',
        'Rods in pieces: joints in the plan, a mark list for each piece, joints checked, one record as a file.',
        'How far a sleeve may still close as it wears, and which guide would stand in its way.',
        'The rod drawn to scale while it is planned; spirals, and guides laid out by the bend.',
        'A guide you can see and the check can’t: point it out in the photo.',
      ],
    },
    better: {
      title: 'Better',
      lines: [
        'Guides are found by what the photos show, not by what the plan hopes for.',
        'What is not found is said as it is: not there, not made out, or in no photo.',
        'A rod that slid between two photos is noticed, by its rings too, and where the photos allow it, taken into account.',
        'Waving paper and bending lenses are part of the measuring.',
        'Photos that show nothing new count once.',
        'Guides seen far more often: small rings, snake guides and wrapped ones above all, and in hard sun.',
        'Long walks need less memory, in the browser too.',
        'A blank that touches its own shadow is told from it more often, a pale one above all; a hand or a shadow is no grip.',
        'The blank’s end is no longer read a little too short in soft or blurred photos.',
        'The roll of small rings is steadier.',
        'A guide seen from one side only is no longer placed a little too far toward you, and a check takes less time.',
        'What may be something else is no longer a reason to move or turn a guide: one more photo first.',
      ],
    },
    fixed: {
      title: 'Fixed',
      lines: [
        'The grain of a bench beyond the mat is no longer taken for more of the blank, nor the end of its shadow for its own.',
        'What a hand, a tool or glare hides of the rod no longer hides all that lies beyond.',
        'Tall guides that shift from photo to photo are no longer taken for a rod that slid.',
        'A slip in a hang test is named as that, no longer taken for a pull that is too strong.',
        'A photo or a check that found no room is no longer called saved.',
        'A photo taken out in one tab stays for the other tab’s undo.',
        'Zips open over plain http; whatever is exported opens again.',
        'A newer version takes over at once, also while the measuring part is still being fetched.',
        'Exports carry no place, wherever in a photo’s file it stands.',
      ],
    },
  },
};
