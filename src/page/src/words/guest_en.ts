// Words about guests and the page on a phone, in English.

export const guestEn = {
  wrongKey: 'This key does not hold. Ask at the desk for a new one, or open the address again.',
  otherDevice:
    'This key is in use on another device. Every device needs a key of its own: ask at the desk.',
  withdrawn: 'The desk has ended this connection. Ask there for a new key.',

  noSocket:
    'This browser does not let the page connect. iPhones and iPads may refuse it where they ' +
    'do not know the certificate. At the desk --share-plain shares without encryption: in a ' +
    'network of your own only.',

  whoIsHere: 'At the desk: {desks}, guests: {guests}',
  youRead: 'Guest, reading.',
  youEdit: 'Guest, editing.',

  phone: 'A phone …',
  phoneTitle: 'A phone on this network',
  phoneWhat:
    'One phone or tablet in the same network can open this plan. Everybody in that network can ' +
    'reach the port; only the first device that shows the key gets in.',
  phoneNone: 'No key holds: nobody can come in.',
  phoneWaits: 'A key waits for its device: {holds}.',
  phoneUsed: 'A device has the key: {holds}. The key holds for no other.',
  phoneMay: 'What the phone may do',
  phoneReading: 'Read only',
  phoneEditing: 'Read and edit',
  phoneMake: 'Make a key',
  phoneMakeNew: 'Make a new key; the old one ends',
  phoneWithdraw: 'Withdraw the key',
  phoneCode: 'QR code of the address below it',
  phoneOnce: 'Shown once, for one device. It is gone when this window closes.',
  phoneCertificate:
    'The phone does not know the certificate, which is made for this run, and will warn of it. ' +
    'Open the certificate in that warning before you go on. Its SHA-256 fingerprint must be this ' +
    'one; if it is another, somebody in the network stands between: go no further.',

  phonePlain:
    'Nothing that is sent is encrypted. Others in this network can read the plan and the key, ' +
    'and change what either side is sent.',
  notEncrypted: 'Not encrypted.',

  bar: 'What to open',
  barDevices: 'Devices',
  barDraw: 'Draw',
  barMap: 'Map',
  barMore: 'More',
};
