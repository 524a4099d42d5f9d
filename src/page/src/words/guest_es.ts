// Words about guests and the page on a phone, in Spanish.

import type { guestEn } from './guest_en.ts';

export const guestEs: Record<keyof typeof guestEn, string> = {
  wrongKey:
    'Esta clave no es válida. Pida otra en el puesto principal o abra de nuevo la dirección.',
  otherDevice:
    'Esta clave ya se usa en otro aparato. Cada aparato necesita la suya: pídala en el puesto ' +
    'principal.',
  withdrawn: 'El puesto principal ha cortado esta conexión. Pida allí otra clave.',

  noSocket:
    'Este navegador no deja conectar la página. Un iPhone o un iPad puede negarse si no conoce ' +
    'el certificado. En el puesto principal, --share-plain comparte sin cifrar: solo en una red ' +
    'propia.',

  whoIsHere: 'En el puesto: {desks}, invitados: {guests}',
  youRead: 'Invitado, solo lectura.',
  youEdit: 'Invitado, edición.',

  phone: 'Un teléfono …',
  phoneTitle: 'Un teléfono en esta red',
  phoneWhat:
    'Un teléfono o una tableta de la misma red puede abrir este plano. Cualquiera de esa red ' +
    'llega al puerto; solo entra el primer aparato que muestra la clave.',
  phoneNone: 'No hay clave válida: nadie puede entrar.',
  phoneWaits: 'Hay una clave que espera a su aparato: {holds}.',
  phoneUsed: 'Un aparato tiene la clave: {holds}. No vale para ningún otro.',
  phoneMay: 'Qué puede hacer el teléfono',
  phoneReading: 'Solo leer',
  phoneEditing: 'Leer y editar',
  phoneMake: 'Crear una clave',
  phoneMakeNew: 'Crear otra clave; la anterior deja de valer',
  phoneWithdraw: 'Retirar la clave',
  phoneCode: 'Código QR de la dirección que está debajo',
  phoneOnce: 'Se muestra una vez, para un aparato. Desaparece al cerrar esta ventana.',
  phoneCertificate:
    'El teléfono no conoce el certificado, creado para esta sesión, y avisará. Abra el ' +
    'certificado en ese aviso antes de seguir. Su huella SHA-256 debe ser esta; si es otra, ' +
    'alguien de la red se ha puesto en medio: no siga.',

  phonePlain:
    'Nada de lo que se envía va cifrado. Otros en esta red pueden leer el plano y la clave, y ' +
    'cambiar lo que recibe cada parte.',
  notEncrypted: 'Sin cifrar.',

  bar: 'Qué abrir',
  barDevices: 'Equipos',
  barDraw: 'Dibujar',
  barMap: 'Mapa',
  barMore: 'Más',
};
