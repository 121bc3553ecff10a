/** Shapes of the screens and their parts, for the type checker alone. */

import type { ComponentChildren, VNode } from 'preact';
import type { Notebook } from './notebook/notebook.js';

/** One field of a record kind, as the schema describes it. */
export interface Field {
  name: string;
  kind: 'id' | 'text' | 'number' | 'whole' | 'choice' | 'flag' | 'date' | 'season_day' | 'time' | 'group' | 'list' | 'digest';
  label: string;
  help?: string;
  unit?: string;
  /** allowed itself */
  low?: number;
  /** not allowed itself */
  above?: number;
  high?: number;
  longest?: number;
  most?: number;
  short_form?: string;
  needed?: boolean;
  choices?: string[];
  refers_to?: string[];
  fields?: Field[];
  item?: Field;
}
export interface Schema {
  schema: number;
  kinds: Record<string, Field[]>;
}

/** What every field type is given. */
export interface FieldProps<T = any> {
  field: Field;
  /** path of the field, unique in its form; also the id of its input */
  id: string;
  value: T | undefined | null;
  /** null: not known */
  onValue: (value: any) => void;
  /** a sentence, or sentences by path below this field */
  troubles: Record<string, string>;
  /** zone of the place written about */
  zone: string;
}

export interface ScreenProps {
  notebook: Notebook;
  params: Record<string, string>;
  query: Record<string, string>;
}
export type Screen = (props: ScreenProps) => VNode<any> | null;
export type Place = 'outing' | 'map' | 'write' | 'book';

export interface Route {
  /** as `perch/:id` */
  pattern: string;
  place: Place;
  load: () => Promise<{ Screen: Screen }>;
  /** a line in the book that leads here */
  shelf?: { label: string; kind?: string; group?: 'records' | 'phone' };
}

export interface Act {
  label: string;
  onAct?: () => void;
  /** instead of onAct: an address in the app */
  to?: string;
  /** instead of onAct: the id of a form that it sends */
  form?: string;
  disabled?: boolean;
}
export type Children = ComponentChildren;
