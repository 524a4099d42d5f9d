// What page and program say to each other about guests.

export type May = 'reading' | 'editing';

/** Who is here; sent where guests may come, when somebody comes or goes. */
export interface PresentMessage {
  type: 'present';
  version: number;
  /** Who this page is. */
  you: 'desk' | May;
  desks: number;
  guests: number;
  /** For the desk only. */
  shared?: {
    /** The address for guests, without a key. */
    at: string;
    /** The SHA-256 of the certificate; null where nothing is encrypted. */
    fingerprint: string | null;
    /** What the key that holds lets a guest do; null where none does. */
    may: May | null;
    /** Whether a device has come by it. */
    used: boolean | null;
  };
}

/** A key for a phone, shown once. */
export interface InvitedMessage {
  type: 'invited';
  version: number;
  address: string;
  /** The rows of its QR code, 1 for a dark module. */
  code: string[];
  may: May;
}

export type GuestAsks = { type: 'share'; may: May } | { type: 'withdraw' };
