/** Shapes of the phone's notebook, for the type checker alone. */

export type Json = null | boolean | number | string | Json[] | { [name: string]: Json };
/** Register → ids of changes. */
export type Named = Record<string, string[]>;

export interface Change {
  id: string;
  device: string;
  device_seq: number;
  record: string;
  kind: string;
  set: Record<string, any>;
  base: Named;
  seen?: Named;
  hlc: string;
  wall: number;
  tz_min: number;
  schema: number;
  group?: string;
}

/** A change as merging looks at it: values in canonical form. */
export interface Edit {
  id: string;
  kind: string;
  record: string;
  key: string;
  hlc: string;
  values: Map<string, string>;
  base: Map<string, string[]>;
  seen?: Named;
}

/** One value of a register that nothing has taken the place of. */
export interface Head {
  id: string;
  hlc: string;
  /** canonical form */
  value: string;
  /** of a delete: the heads that it had seen */
  seen?: Named;
  /** its number in the server's journal, in the present epoch */
  seq?: number;
}

export interface RecordState {
  /** highest first; the first is shown */
  heads: Map<string, Head[]>;
  conflicts: string[];
  hidden: boolean;
  badge: boolean;
}

export interface UpcastStep {
  from: number;
  kind: string;
  rename?: string;
  convert?: string;
  split?: string;
  becomes?: string;
  to?: string;
  into?: Record<string, string>;
  words?: Record<string, string>;
  times?: number;
  plus?: number;
}
export interface Upcasts {
  schema: number;
  table: UpcastStep[];
}

export interface FieldShape {
  name?: string;
  kind: string;
  label?: string;
  needed?: boolean;
  last_writer_wins?: boolean;
  refers_to?: string[];
  fields?: FieldShape[];
  item?: FieldShape;
}
export interface SchemaShape {
  schema: number;
  kinds: Record<string, FieldShape[]>;
}
/** What the server hands out about records, kept beside them. */
export interface RuleTexts {
  schema: SchemaShape;
  upcasts: Upcasts;
}

/** Why the server, or the phone for it, set a change aside. */
export interface Parked {
  code: string;
  field?: string;
  message?: string;
  /** phone's clock [ms] */
  at: number;
  /** what the person did about it */
  settled?: 'mended' | 'set aside';
}

export interface JournalRow {
  id: string;
  record: string;
  group?: string;
  change: Change;
  /** number in the server's journal, in the present epoch */
  seq?: number;
  /** stands here, and so in the outbox, until there is a seq or it is parked: device_seq */
  unsent?: number;
  parked?: Parked;
  /** the words of the Save, this phone only */
  label?: string;
  /** the change that made its record, this phone only */
  makes?: true;
}

/** A head as its record's row has it. */
export interface KeptHead {
  id: string;
  hlc: string;
  /** canonical form; missing where it is that of the value shown, which stands in `values` */
  value?: string;
  seen?: Named;
  seq?: number;
}

/** One record: its heads, and what is shown of it. */
export interface RecordRow {
  key: string;
  kind: string;
  id: string;
  /** values shown; what is cleared is left out */
  values: Record<string, any>;
  /** highest first */
  heads: Record<string, KeptHead[]>;
  awaited?: Named;
  conflict_count: number;
  deleted: boolean;
  edited_after_delete: boolean;
  hlc: string;
  when: number;
  /** highest seq of the heads; missing while one has none */
  seq?: number;
  /** hash of the bytes that it names */
  blob?: string;
  refs: string[];
  shown?: [string, number, string];
  shown_at?: [string, string, number, string];
  hidden?: string;
  conflicted?: 1;
}

export type Where = 'phone' | 'server' | 'backed up';

/** A record as it is shown. */
export interface Rec {
  id: string;
  kind: string;
  values: Record<string, any>;
  heads: Named;
  /** what an edit made over this must name; hand the Rec to `save` as `over` */
  screen: Named;
  conflict_count: number;
  deleted: boolean;
  edited_after_delete: boolean;
  hlc: string;
  /** the time it is listed by [ms since 1970] */
  when: number;
  state: Where;
}

/** What a person wants of one record. */
export interface Wanted {
  kind: string;
  record?: string;
  set?: Record<string, any>;
  remove?: true;
  restore?: true;
  /** stand in the place of every head, not only of the one on screen */
  resolve?: true;
  /** the record as the person had it on screen; without it, as it is now */
  over?: Pick<Rec, 'heads' | 'screen'>;
}
export interface Saved {
  group: string;
  ids: string[];
}
export interface Undone {
  /** the group of the undo; undefined where nothing was left to take back */
  group?: string;
  /** registers that have been edited since and were left alone */
  left: { kind: string; record: string; register: string }[];
}

export interface BlobRow {
  sha256: string;
  type: string;
  size: number;
  at: number;
  state: Where;
  /** whether the bytes are on this phone */
  held: boolean;
  /** bytes, while they wait to be sent */
  waiting?: number;
  /** why the server would not have it */
  trouble?: { code: string; message?: string };
}

export interface Conflict {
  kind: string;
  record: string;
  register: string;
  hidden: boolean;
  /** the one shown first */
  heads: ConflictHead[];
}
export interface ConflictHead {
  change: string;
  hlc: string;
  value: any;
  device?: string;
  mine: boolean;
  wall?: number;
  tz_min?: number;
}

export interface HistoryItem {
  change: Change;
  mine: boolean;
  where: Where | 'parked';
  parked?: Parked;
  label?: string;
}

export interface ParkedItem extends Parked {
  change: Change;
}

export interface Told {
  kinds: Set<string>;
  records: Set<string>;
}

export type SyncTrouble =
  | 'unreachable'
  | 'not_ours'
  | 'unpaired'
  | 'not_allowed'
  | 'busy'
  | 'server_full'
  | 'server_older'
  | 'refused'
  | 'phone_full'
  | 'fault';

export interface SyncState {
  phase: 'idle' | 'syncing' | 'waiting' | 'paused';
  trouble: SyncTrouble | null;
  /** the server's own sentence, where it gave one */
  message: string | null;
  /** when the next try is due [ms since 1970] */
  next_at: number | null;
  pushed: number;
  pulled: number;
  blob_bytes: number;
}

/** What the phone knows of its server; kv. */
export interface Journey {
  epoch: string | null;
  durable_seq: number;
  cursor: string | null;
  furthest: string | null;
  /** the server's journal is another: every seq is to be forgotten and all to be offered */
  restart: boolean;
  offset_ms: number;
  last_sync: number | null;
}

export interface NotebookState {
  waiting_changes: number;
  waiting_photos: number;
  waiting_bytes: number;
  parked: number;
  conflicts: number;
  last_sync: number | null;
  epoch: string | null;
  persisted: boolean | null;
  quota: { usage_bytes: number; quota_bytes: number } | null;
  /** a notebook newly made here: its store was lost, or there was none before */
  fresh: 'lost' | 'new' | null;
  /** server time − phone time [ms], as of the last ping; null before any */
  clock_off_ms: number | null;
  sync: SyncState;
}

export interface Pulled {
  seq: number;
  change: Change;
}
export interface Answer {
  status: 'ok' | 'duplicate' | 'quarantined' | 'retry';
  seq?: number;
  code?: string;
  field?: string;
  message?: string;
}
