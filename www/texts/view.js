// The picture: views, and another model beside the open one.

export const view = {
  view: {
    label: 'View',
    fit: 'Fit',
    front: 'Front',
    back: 'Back',
    left: 'Left',
    right: 'Right',
    top: 'Top',
    bottom: 'Below',
    corner: 'Corner',
    orthographic: 'Orthographic',
    canvas: 'The model',
    keys:
      'Arrow keys turn, with Shift they move the picture. Plus and minus zoom, F fits, 1 to 7 are standard views, P changes the projection, L lets drags and arrow keys move the lamps while stripes are shown, Enter picks at the middle, J and K go through the ledger, I places a pin, Escape lets go.',
  },

  beside: {
    title: 'Beside another model',
    open: 'Compare with…',
    openHint: 'A second model under the same camera and lamps; the open one and its review stay as they are.',
    demo: 'Demo, revision B',
    layout: 'How the two are laid out',
    wipe: 'One over the other',
    halves: 'Side by side',
    close: 'Close',
    divider: 'Divider between the models',
    reading: (name, stage) => `${name}: ${stage}…`,
  },
};
